// Times, statuses and kinds as people read them.

// As annotate/text.py writes it, to the second.
export function clock(seconds) {
  const whole = toEven(Math.abs(seconds));
  const text = hms(whole);
  return seconds < 0 && whole ? `-${text}` : text;
}

// With tenths, for setting boundaries.
export function exact(seconds) {
  const tenths = Math.round(Math.max(seconds, 0) * 10);
  return `${hms(Math.floor(tenths / 10))}.${tenths % 10}`;
}

// "1:23.4", "83.4" -> seconds; NaN when neither.
export function seconds(text) {
  const match = /^\s*(?:(\d+):)?(?:(\d+):)?(\d+(?:[.,]\d+)?)\s*$/.exec(text);
  if (!match) return NaN;
  const [, a, b, last] = match;
  const s = Number(last.replace(",", "."));
  if (a !== undefined && b !== undefined) return Number(a) * 3600 + Number(b) * 60 + s;
  return (a === undefined ? 0 : Number(a) * 60) + s;
}

export function many(count, one, more = `${one}s`) {
  return `${count} ${count === 1 ? one : more}`;
}

// Each status has a sign and words, not only a colour.
export const STATUS = {
  "as planned": ["✓", "as planned"],
  short: ["−", "too short"],
  long: ["+", "too long"],
  partial: ["½", "not all of it"],
  skipped: ["✗", "left out"],
  swapped: ["⇄", "something else"],
  added: ["＋", "not in the plan"],
};

export const KINDS = ["work", "recovery", "warm-up", "cool-down", "still", "absent"];

export const statusClass = (status) => status.replaceAll(" ", "-");

export function reps(set) {
  if (!set.count) return "";
  const sides = set.left !== null && set.right !== null ? ` (${set.left} left, ${set.right} right)` : "";
  return `${many(set.count, "rep")}${sides}`;
}

// Why a period could not be judged; empty where it could.
export const unseen = (period) => (period.not_assessable ? `not assessable: ${period.not_assessable}` : "");

// A movement that is not in the catalogue is shown as the plan has it.
export const movementName = (id, movements) => movements.find((m) => m.id === id)?.name ?? id;

export function working(review) {
  const left = review.remaining_s === null ? "" : `, about ${clock(review.remaining_s)} left`;
  const stage = review.stage ? review.stage[0].toUpperCase() + review.stage.slice(1) : "Starting";
  return `${stage}: ${Math.round(100 * review.progress)} %${left}`;
}

export const when = (iso) => new Date(iso).toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });

const pad = (n) => String(n).padStart(2, "0");

function hms(whole) {
  const [h, m, s] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  return h ? `${h}:${pad(m)}:${pad(s)}` : `${m}:${pad(s)}`;
}

// An exact half goes to the even second, as in the script and the tables.
function toEven(value) {
  const whole = Math.round(value);
  return whole - value === 0.5 && whole % 2 ? whole - 1 : whole;
}
