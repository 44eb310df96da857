// Pictures of what was found; a click loops the repetition in the clip.
import { h, refill } from "./dom.js";
import { clock } from "./words.js";

export function drawStills(section, place, { review, at }, go) {
  const stills = review.stills ?? [];
  section.hidden = !stills.length;
  if (section.hidden) return;
  refill(place, h("div.figures", {}, stills.map((still) => {
    const rep = review.periods[still.period].reps.each[still.repetition];
    return h("figure", {},
      h("button", { type: "button", "data-key": `still-${still.file}`, "aria-label": `Loop at ${clock(still.at_s)}: ${still.text}`, onclick: () => go.loop(rep.start_s, rep.end_s) },
        h("img", { src: `${at}/stills/${encodeURIComponent(still.file)}`, alt: still.text, loading: "lazy" })),
      h("figcaption", {}, `${clock(still.at_s)} ${still.text}`));
  })), h("p.soft.small", {}, "The back line is the outline in the picture against your own first repetitions. It is no angle between bones: look yourself."));
}
