// The first script of `plyloom.html`: unpacks the page's own script and the core, and begins. It is written
// for old browsers too, so that they can be told what they lack.

(function () {
  var needs = { DecompressionStream: self.DecompressionStream, WebAssembly: self.WebAssembly, Worker: self.Worker, indexedDB: self.indexedDB };
  var missing = Object.keys(needs).filter(function (name) { return !needs[name]; });

  function tell(words) {
    var home = document.getElementById("trouble");
    home.hidden = false;
    home.textContent = words;
  }

  if (missing.length) {
    tell("This browser is too old for this page: it has no " + missing.join(", no ") + ". Open the page in a newer one.");
    return;
  }
  var block = document.getElementById("packed");
  var letters = atob(block.textContent);
  block.remove();
  var packed = new Uint8Array(letters.length);
  for (var i = 0; i < letters.length; i += 1) packed[i] = letters.charCodeAt(i);
  var stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  new Response(stream).arrayBuffer().then(function (bytes) {
    var length = new DataView(bytes).getUint32(0);
    // The core begins to be compiled before the page is ready for it.
    self.plyloomCore = WebAssembly.compile(new Uint8Array(bytes, 4 + length));
    var script = document.createElement("script");
    script.src = URL.createObjectURL(new Blob([new Uint8Array(bytes, 4, length)], { type: "text/javascript" }));
    document.body.append(script);
  }).catch(function (error) {
    tell("This page is damaged: get it anew (" + error.message + ").");
  });
})();
