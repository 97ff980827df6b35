// The first line of a message at the top of the window, while the message itself is out of sight.
//
// It stands in no live region: the message is announced where it is, and once.

import { button, byId, make, told } from "./make.js";

export class Reminder {
  /** Reminds of the message below this heading. */
  constructor(heading) {
    this.heading = heading;
    this.home = byId("reminder");
    this.words = make("p", {});
    this.home.append(this.words, button("Read all", () => this.lead(), { "aria-label": "Read all of the message" }));
    this.home.addEventListener("focusin", (event) => {
      this.from = event.relatedTarget;
    });
    this.watch = new IntersectionObserver((seen) => this.show(!seen.at(-1).isIntersecting));
  }

  /** Takes the words of the message; none where there is no message any more. */
  take(message) {
    this.watch.disconnect();
    if (!message) {
      if (this.home.contains(document.activeElement)) this.goBack();
      this.show(false);
      return;
    }
    this.words.replaceChildren(...told(message.split("\n")[0]));
    this.watch.observe(this.heading);
  }

  show(wanted) {
    if (this.home.hidden !== wanted) return;
    const had = document.activeElement;
    if (!wanted && this.home.contains(had)) this.heading.focus({ preventScroll: true });
    this.home.hidden = !wanted;
    if (!wanted || had === document.body) return;
    // What has the focus is never under it. What was scrolled away by hand stays away.
    const [under, line] = [had.getBoundingClientRect(), this.home.getBoundingClientRect()];
    if (under.bottom > line.top && under.top < line.bottom) had.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  lead() {
    this.heading.focus({ preventScroll: true });
    this.heading.scrollIntoView({ block: "center" });
  }

  /** Puts the focus where it was before it came here; else on the head of the page. */
  goBack() {
    const to = this.from?.isConnected ? this.from : byId("rooms").querySelector("[aria-current]");
    to?.focus();
    this.from = null;
  }
}
