
// Making elements. Texts become text nodes and nothing else, so that no text of a record can be taken for markup.

const dom = (() => {
  let count = 0;

  /** Returns a new element: its attributes, what happens at its events (`onclick`), and what stands in it. */
  function el(tag, attributes = {}, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
      else if (name === "value") element.value = value;
      else if (value === true) element.setAttribute(name, "");
      else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value);
    }
    element.append(...children.flat().filter((child) => child !== false && child !== null && child !== undefined && child !== ""));
    return element;
  }

  /** Returns a button. */
  const button = (words, onclick, attributes = {}) => el("button", { type: "button", onclick, ...attributes }, words);

  /** Returns an id that no other element has. */
  const id = (name) => `${name}-${(count += 1)}`;

  /** Returns a label and the field it names, with room for what stops it. */
  function field(words, input, hint) {
    input.id = input.id || id("field");
    const described = hint ? el("span", { class: "hint", id: id("hint") }, hint) : null;
    if (described) input.setAttribute("aria-describedby", described.id);
    return el("div", { class: "field" }, el("label", { for: input.id }, words), described, input);
  }

  /** Does something when Enter is pressed in a field. The key ends there: it must not press what gets the focus next. */
  function onEnter(input, work) {
    input.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      work();
    });
  }

  /** Shows a sentence at a field that cannot be taken, and puts the focus there. */
  function refuse(input, sentence) {
    accept(input);
    const words = el("p", { class: "refused", id: id("refused") }, sentence);
    input.closest(".field").append(words);
    input.setAttribute("aria-invalid", "true");
    input.described = input.getAttribute("aria-describedby");
    input.setAttribute("aria-describedby", [input.described, words.id].filter(Boolean).join(" "));
    input.refusal = words;
    say(sentence);
  }

  /** Takes the sentence off again. */
  function accept(input) {
    if (!input.refusal) return;
    input.refusal.remove();
    input.refusal = null;
    input.removeAttribute("aria-invalid");
    if (input.described) input.setAttribute("aria-describedby", input.described);
    else input.removeAttribute("aria-describedby");
  }

  /** Reads a sentence out to whoever listens to the page. */
  function say(sentence) {
    const region = document.getElementById("said");
    // The same sentence twice would not be read twice.
    region.textContent = region.textContent === sentence ? `${sentence}\u00a0` : sentence;
  }

  /** Brings an element into view and puts the focus on one in it. */
  function go(element, focus) {
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    focus.focus({ preventScroll: true });
    element.scrollIntoView({ block: "start", behavior: calm ? "auto" : "smooth" });
  }

  return { el, button, id, field, onEnter, refuse, accept, say, go };
})();
