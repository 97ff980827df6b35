// Drawings as pictures of pixels, by the browser itself: it takes a fraction of the time that the core takes to
// paint in WebAssembly.

/** The longest side of a picture, and the most pixels of one: as in the program. */
const LONGEST = 4096;
const MOST = 16_000_000;

/** A PNG of a drawing, so many pixels wide; null where this browser does not give one. */
export async function painted(drawing, width) {
  const url = URL.createObjectURL(drawing);
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const { naturalWidth: w, naturalHeight: h } = image;
    const scale = Math.min(width / w, LONGEST / Math.max(w, h), Math.sqrt(MOST / (w * h)));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(w * scale));
    canvas.height = Math.max(1, Math.round(h * scale));
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    return await new Promise((done) => canvas.toBlob(done, "image/png"));
  } catch {
    // The core paints it, then.
    return null;
  } finally {
    URL.revokeObjectURL(url);
  }
}
