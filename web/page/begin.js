// The first script of `plyloom.html`: unpacks the page's own script and the core, and begins. Old browsers
// read it too, so that they can be told what they lack.
//
// Both are packed by xz: with what a browser can unpack by itself (gzip) they would weigh a third more.

import { XzReadableStream } from "xz-decompress";

(function () {
  var needs = { ReadableStream: self.ReadableStream, WebAssembly: self.WebAssembly, Worker: self.Worker, indexedDB: self.indexedDB };
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
  var letters = block.textContent;
  block.remove();

  /** Five letters are four bytes, of which xz has whole fours. */
  function bytesOf(letters) {
    var view = new DataView(new ArrayBuffer(Math.floor(letters.length / 5) * 4));
    for (var at = 0; at < view.byteLength; at += 4) {
      var word = 0;
      for (var i = 0; i < 5; i += 1) {
        var letter = letters.charCodeAt((at / 4) * 5 + i);
        word = word * 85 + (letter === 126 ? 60 : letter) - 33;
      }
      view.setUint32(at, word);
    }
    return view.buffer;
  }

  new Response(new XzReadableStream(new Blob([bytesOf(letters)]).stream())).arrayBuffer().then(function (bytes) {
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
