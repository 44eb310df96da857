// Build elements without ever turning text into markup.

const SVG = "http://www.w3.org/2000/svg";

// h("button.first", { onclick, "aria-label": ... }, "text", element, null)
export function h(name, attributes = {}, ...children) {
  return dress(document.createElement(name.split(".")[0]), name, attributes, children);
}

export function svg(name, attributes = {}, ...children) {
  return dress(document.createElementNS(SVG, name.split(".")[0]), name, attributes, children);
}

export function fill(element, ...children) {
  element.replaceChildren(...children.flat(9).filter((child) => child !== null && child !== undefined));
  return element;
}

export const $ = (id) => document.getElementById(id);

// Fill again and keep the keyboard focus.
export function refill(element, ...children) {
  const key = element.contains(document.activeElement) && document.activeElement.dataset.key;
  fill(element, ...children);
  if (key) element.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus({ preventScroll: true });
}

// A line that screen readers speak too: for an element with role status or alert.
export function say(element, text, wrong = false) {
  element.className = text ? (wrong ? "wrong" : "right") : "";
  element.textContent = text;
  element.hidden = !text;
}

export function ask(question, yes) {
  return new Promise((resolve) => {
    const dialog = h(
      "dialog",
      { "aria-label": question, onclose: () => (dialog.remove(), resolve(dialog.returnValue === "yes")) },
      h("form", { method: "dialog" },
        h("p", {}, question),
        h("div.row", {},
          h("button.first", { value: "yes" }, yes),
          h("button", { value: "no", autofocus: "" }, "Keep it"))),
    );
    document.body.append(dialog);
    dialog.showModal();
  });
}

function dress(element, name, attributes, children) {
  const classes = name.split(".").slice(1);
  if (classes.length) element.setAttribute("class", classes.join(" "));
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else if (key === "style") Object.assign(element.style, value);
    else element.setAttribute(key, value === true ? "" : value);
  }
  element.append(...children.flat(9).filter((child) => child !== null && child !== undefined));
  return element;
}
