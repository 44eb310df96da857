// A plan as text, with its timeline and total while you type.
import { fill, h, say } from "./dom.js";
import { send } from "./service.js";
import { clock, many } from "./words.js";

const PAUSE_MS = 350;

const SNIPPETS = {
  "Warm-up": '  - {name: Warm-up, kind: warm-up, movement: march, duration: "4:00"}\n',
  Exercise:
    "  - name: Squat\n    movement: squat\n    rounds: 3\n    work: 30\n    recovery: 30\n" +
    "    recovery_movement: march\n    reps: 14\n    watch: [back]\n",
  "Left and right":
    "  - name: Side lunge\n    movement: side-lunge\n    sides: each\n    work: 40\n    recovery: 20\n",
  Circuit:
    "  - name: Circuit\n    rounds: 3\n    stations:\n" +
    "      - {movement: squat, work: 40, recovery: 20, reps: 20}\n" +
    "      - {movement: push-up, work: 40, recovery: 20}\n    round_recovery: 60\n",
  Break: '  - {name: Water, kind: break, duration: "1:00"}\n',
  "Cool-down": '  - {name: Cool-down, kind: cool-down, movement: reach, duration: "3:00"}\n',
};

// What it returns: text(), part() to send, set(text), read(file), and fine(): no mistake in it.
export function planEditor(place, { file = true, onChange = () => {} } = {}) {
  let valid = true;
  let turn = 0;
  let timer;
  const told = h("p", { role: "status", hidden: true });
  const shown = h("div", { "aria-live": "off" });
  const area = h("textarea", {
    id: "plan-text", rows: 9, spellcheck: "false", oninput: () => later(),
    placeholder: "title: Harbour intervals, week 3\nblocks:\n  - name: Squat\n    movement: squat\n    rounds: 3\n    work: 30\n    recovery: 30\n    reps: 14",
  });
  const chooser = h("input", { type: "file", id: "plan-file", accept: ".yaml,.yml,.csv,.xlsx,.txt", onchange: () => read(chooser.files[0]) });
  let table = null; // a plan file that is no text to edit

  fill(
    place,
    h("label", { for: "plan-text" }, h("strong", {}, "Class plan"), h("span.soft.small", {}, " (optional; paste it, or put it together)")),
    area,
    h("div.adders", { role: "group", "aria-label": "Add to the plan" },
      Object.entries(SNIPPETS).map(([name, text]) => h("button", { type: "button", onclick: () => add(text) }, `+ ${name}`))),
    file ? h("p.small", {}, h("label", { for: "plan-file" }, "or a file (.yaml, .csv, .xlsx) "), chooser) : null,
    told,
    shown,
  );

  function add(text) {
    let now = area.value;
    if (!now.trim()) now = "title: My class\nblocks:\n";
    if (!/^blocks:/m.test(now)) now = `${now.trimEnd()}\nblocks:\n`;
    area.value = `${now.trimEnd()}\n${text}`;
    area.scrollTop = area.scrollHeight;
    check();
  }

  async function read(chosen) {
    table = null;
    if (chosen && /\.(csv|xlsx)$/i.test(chosen.name)) {
      table = chosen;
      area.value = "";
      area.disabled = true;
      valid = true;
      fill(shown);
      say(told, `${chosen.name} is read when you send it.`);
    } else {
      area.disabled = false;
      if (chosen) area.value = await chosen.text();
      check();
    }
    onChange();
  }

  function later() {
    clearTimeout(timer);
    timer = setTimeout(check, PAUSE_MS);
  }

  async function check() {
    clearTimeout(timer);
    const mine = ++turn;
    if (!area.value.trim()) {
      valid = true;
      say(told, "");
      fill(shown);
      onChange();
      return;
    }
    try {
      const checked = await send("POST", "/api/plans/check", { text: area.value });
      if (mine !== turn) return;
      valid = true;
      say(told, checked.remarks.join("; "), true);
      fill(shown, unrolled(checked));
    } catch (error) {
      if (mine !== turn) return;
      valid = false;
      say(told, error.message.replace(/^plan\.yaml, /, "").replace(/^plan\.yaml: /, ""), true);
      shown.querySelector(".plan-total")?.classList.add("soft");
    }
    onChange();
  }

  return {
    text: () => area.value,
    fine: () => valid,
    read,
    part: () => table ?? (area.value.trim() ? new File([area.value], "plan.yaml") : null),
    set: (text) => {
      area.value = text;
      return check();
    },
  };
}

function unrolled({ timeline, total }) {
  const ends = timeline.ends_with_recovery ? "the last recovery counts" : "no recovery after the last round";
  return h("div", { id: "unrolled" },
    h("p.plan-total", {}, h("strong", {}, total), ` in ${many(timeline.periods.length, "period")}: ${clock(timeline.work_s)} work, ${clock(timeline.recovery_s)} recovery; ${ends}.`),
    h("div.strip", { "aria-hidden": "true" },
      timeline.periods.map((p) => h(`span.${p.kind}`, { style: { flexGrow: p.duration_s }, title: `${clock(p.start_s)} ${p.label}` }))),
    h("ul.legend", { "aria-hidden": "true" }, ["work", "recovery", "warm-up", "break"].map((k) => h("li", {}, h(`i.${k}`), k === "warm-up" ? "warm-up, cool-down" : k))),
    h("div.unrolled", { tabindex: 0, role: "region", "aria-label": "Timeline of the plan" },
      h("table", {}, h("tbody", {},
        timeline.periods.map((p) => h("tr", {},
          h("td", {}, clock(p.start_s)),
          h("td", {}, p.label),
          h("td", {}, `${clock(p.duration_s)}${p.reps ? `, ${p.reps} reps` : ""}`)))))));
}
