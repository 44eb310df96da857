// Notes typed at the playing position; saved with the review, and part of script and exports.
import { h, refill, say } from "./dom.js";
import { send } from "./service.js";
import { clock } from "./words.js";

const TAGS = ["cue", "form", "music", "camera", "timing", "safety"];

export function notesPart(place, state, screen, changed) {
  const list = h("ul.notes");
  const none = h("p.soft", {}, "None yet. Play to the place, then type.");
  const told = h("p", { role: "alert", hidden: true });
  const tag = h("input", { id: "note-tag", list: "note-tags", maxlength: 40, size: 10, autocomplete: "off" });
  const text = h("input", { id: "note-text", name: "text", maxlength: 2000, required: true, autocomplete: "off" });
  const button = h("button", { type: "submit", id: "note-add" }, "Add at 0:00");
  place.append(none, list, told,
    h("form.row.new-note", { onsubmit: (event) => (event.preventDefault(), add()) },
      h("label", {}, h("span", {}, "Tag"), tag),
      h("datalist", { id: "note-tags" }, TAGS.map((name) => h("option", { value: name }))),
      h("label.grow", {}, h("span", {}, "Note"), text),
      button));
  screen.onTime((time) => (button.textContent = `Add at ${clock(time)}`));

  async function keep(notes) {
    try {
      const review = await send("PUT", `${state.at}/notes`, { notes });
      say(told, "");
      await changed(review);
      return true;
    } catch (error) {
      say(told, error.message, true);
      return false;
    }
  }

  async function add() {
    const note = { at_s: Math.round(screen.time() * 100) / 100, tag: tag.value.trim(), text: text.value.trim() };
    if (note.text && (await keep([...state.review.notes, note]))) text.value = "";
  }

  function draw() {
    const { notes } = state.review;
    none.hidden = notes.length > 0;
    refill(list, notes.map((note, i) => h("li", {},
      h("button.time", { type: "button", "data-key": `note-${i}`, "aria-label": `Go to ${clock(note.at_s)}`, onclick: () => screen.seek(note.at_s) }, clock(note.at_s)),
      h("span", {}, note.tag ? h("span.tag", {}, note.tag) : null, note.text),
      h("button.plain", { type: "button", "aria-label": `Delete the note at ${clock(note.at_s)}`, onclick: () => keep(notes.filter((_, k) => k !== i)) }, "Delete"))));
  }

  return { draw };
}
