// Where the page stands in one column, the panel stays in sight while a knob moves: it floats at the top of
// the window as long as one works beside it and its own place is scrolled away.

import { byId } from "./make.js";

/** As in the style sheet: everything stands in one column. */
const NARROW = window.matchMedia("(max-width: 52rem)");

export function afloat(bench) {
  const views = byId("views");
  const place = byId("side-by-side");
  const trouble = byId("trouble");
  let seen = true;
  let working = false;
  const set = () => {
    // A mistake is told where the panel stands: nothing is to lie over it.
    const wanted = NARROW.matches && working && !seen && trouble.hidden && document.body.dataset.room === "panel";
    if (views.classList.contains("afloat") === wanted) return;
    // Its own place stays as high as it is, so that nothing moves.
    place.style.minHeight = wanted ? `${place.offsetHeight}px` : "";
    views.classList.toggle("afloat", wanted);
    document.documentElement.classList.toggle("has-afloat", wanted);
    bench.resized();
  };
  new IntersectionObserver((all) => {
    seen = all.at(-1).intersectionRatio > 0.4;
    set();
  }, { threshold: [0, 0.2, 0.4, 0.6] }).observe(place);
  new MutationObserver(set).observe(trouble, { attributeFilter: ["hidden"] });
  for (const name of ["knobs", "looking", "values"]) {
    const home = byId(name);
    home?.addEventListener("focusin", () => {
      working = true;
      set();
    });
    home?.addEventListener("pointerdown", () => {
      working = true;
      set();
    });
    home?.addEventListener("focusout", (event) => {
      working = Boolean(event.relatedTarget?.closest("#knobs, #looking, #values"));
      set();
      // Who goes on to the panel goes with it to its own place.
      const to = event.relatedTarget;
      if (views.contains(to)) requestAnimationFrame(() => to.scrollIntoView({ block: "nearest" }));
    });
  }
}
