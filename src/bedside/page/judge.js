"use strict";
// From what a person put in to an answer, its verdict, and what is said of it.
//
// Takes a step of the page's data and what was put in; gives the same answers, verdicts and sentences as the program
// that takes the record in (src/bedside/typed.rs, src/procedure/answer.rs, src/procedure/belief.rs, src/bedside/said.rs, src/bedside/reserve.rs).
// One table of cases holds the two together. Nothing here knows the page: plain data to plain data.

const judge = (() => {
  const LONGEST = 15;
  const BLANKS = "[\\t-\\r \\u0085\\u00a0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000]+";
  const OUTER_BLANKS = new RegExp(`^${BLANKS}|${BLANKS}$`, "g");
  const GAUGE = "gauge-pressure";

  let units = [];
  let spellings = new Map();
  let compliance = null;
  let planningFlow = null;

  /** Takes the units, spellings and numbers of a page. */
  function begin(page) {
    units = page.units;
    spellings = new Map(page.spellings);
    compliance = page.compliance && parse(page.compliance);
    planningFlow = page.planningFlow && parse(page.planningFlow);
  }

  const trim = (text) => text.replace(OUTER_BLANKS, "");
  const unitOf = (symbol) => units.find((unit) => unit.symbol === symbol);

  /** Returns a quantity from the text of a record, `1250 psi`. */
  function parse(text) {
    const at = text.indexOf(" ");
    return quantity(text.slice(0, at), unitOf(text.slice(at + 1)));
  }

  function quantity(number, unit) {
    return { number, unit, si: unit.factor * Number(number) + unit.offset, text: `${number} ${unit.symbol}` };
  }

  /** Returns the known unit a mistyped one probably means. */
  function nearest(written) {
    const plain = [...written.toLowerCase()].filter((c) => /[\p{Alphabetic}\p{N}/%]/u.test(c)).join("");
    const meant = spellings.get(plain);
    return meant ? unitOf(meant) : units.find((unit) => unit.symbol.toLowerCase() === plain);
  }

  /** What stops an answer, as a sentence for whoever typed it. */
  class Unclear extends Error {}

  function unclear(sentence) {
    throw new Unclear(sentence);
  }

  /** Returns the quantity that was meant; a bare number is one of the unit that was shown. */
  function typedQuantity(typed, shownUnit) {
    const text = trim(typed).replace(/\u2212/g, "-");
    const sign = text.startsWith("-") ? "-" : "";
    const digits = text.slice(sign.length);
    const whole = /^[0-9]*/.exec(digits)[0];
    if (whole === "") unclear("a number is needed here");
    const rest = digits.slice(whole.length);
    const comma = rest.startsWith(",");
    const places = comma || rest.startsWith(".") ? /^[0-9]*/.exec(rest.slice(1))[0] : "";
    if (comma && places.length === 3 && whole !== "0") {
      unclear(`\`${whole},${places}\` could mean ${whole}${places} or ${whole}.${places}: write the one you mean`);
    }
    if (/^[,.]/.test(rest) && places === "") unclear(`after \`${whole}\` a digit is missing`);
    const written = trim(places === "" ? rest : rest.slice(1 + places.length));
    const unit = unitMeant(written, shownUnit);
    const number = sign + whole + (places === "" ? "" : ".") + places;
    if (number.length > LONGEST) unclear("more digits than any gauge shows");
    return quantity(number, unit);
  }

  function unitMeant(written, shownUnit) {
    if (written === "") return shownUnit ? unitOf(shownUnit) : unclear("write the unit after the number, such as `1250 psi`");
    return unitOf(written) || nearest(written) || unclear(`\`${written}\` is no unit known here`);
  }

  function ofKind(value, kind) {
    if (value.unit.kind === kind) return value;
    return unclear(`${value.text} is ${value.unit.kindWords}, not ${units.find((unit) => unit.kind === kind).kindWords}`);
  }

  function typedTime(typed, shownUnit) {
    const time = ofKind(typedQuantity(typed, shownUnit), "duration");
    return time.number.startsWith("-") ? unclear("a time has no minus") : time;
  }

  /** Returns the answer that was meant, as a record writes it, or the sentence that says why there is none. */
  function answer(step, typed) {
    try {
      const meant = meaning(step, typed);
      look(step, meant, () => {});
      return { answer: meant };
    } catch (stopped) {
      if (stopped instanceof Unclear) return { unclear: stopped.message };
      throw stopped;
    }
  }

  function meaning(step, typed) {
    if (typed === "pass" || typed === "fail") return typed;
    if ("choice" in typed) return { choice: typed.choice };
    if ("not-done" in typed) {
      const because = trim(typed["not-done"]);
      return because === "" ? unclear("say why it was not done") : { "not-done": because };
    }
    if ("reading" in typed) return { reading: typedQuantity(typed.reading, step.unit).text };
    if ("held" in typed) return { held: typedTime(typed.held, step.unit).text };
    const { from, to, time } = typed["pressure-held"];
    return {
      from: ofKind(typedQuantity(from, step.unit), GAUGE).text,
      to: ofKind(typedQuantity(to, step.unit), GAUGE).text,
      in: typedTime(time, "s").text,
    };
  }

  /** Judges an answer that fits its step; `see` is shown every value that was set against a limit. */
  function look(step, given, see) {
    if (given === "fail") return "fail";
    if (given === "pass") return step.answer === "confirm" ? "pass" : unclear(step.wanted);
    if ("not-done" in given) return "not-done";
    if ("choice" in given && step.answer === "choice") return chosen(step, given.choice);
    if ("reading" in given && step.answer === "reading") return read(step, parse(given.reading), see);
    if ("held" in given && step.answer === "hold") return compare(step, { held: parse(given.held) }, see);
    if ("from" in given && step.answer === "pressure-held") {
      return compare(step, { from: parse(given.from), to: parse(given.to), in: parse(given.in) }, see);
    }
    return unclear(step.wanted);
  }

  function chosen(step, word) {
    const choice = step.choices.find(([known]) => known === word);
    if (choice) return choice[1];
    const words = step.choices.map(([known]) => known).sort().map((known) => `\`${known}\``);
    return unclear(`\`${word}\` is not one of ${words.join(", ")}`);
  }

  function read(step, reading, see) {
    const { kind, kindWords } = reading.unit;
    if (step.measures && step.measures !== kind) unclear(`${reading.text} is ${kindWords}, not ${step.measuresWords}`);
    if (kind === "share" && !(reading.si >= 0 && reading.si <= 1)) unclear(`${reading.text} is not between 0 % and 100 %`);
    return compare(step, { reading }, see);
  }

  function compare(step, values, see) {
    let allMet = true;
    for (const limit of step.limits) {
      const value = limit.of === "fall" && values.from ? fall(values, limit) : values[limit.of];
      if (value === undefined) continue;
      const met = value && meets(value, limit);
      if (met === null) unclear(`the ${limit.ofWords} cannot be compared with the limit ${limit.words}`);
      allMet = allMet && met;
      see(limit, value, met);
    }
    return allMet ? "pass" : "fail";
  }

  /** Returns the fall from one pressure to another in the unit of a limit on it; nothing where they do not compare. */
  function fall({ from, to }, limit) {
    const bound = limit.atMost || limit.below || limit.atLeast || limit.above;
    const unit = bound && parse(bound).unit;
    if (!unit || unit.kind !== from.unit.kind) return null;
    // Nine decimals are far finer than any gauge and hide the rounding of the subtraction.
    const fallen = Math.floor(((from.si - to.si) / unit.factor) * 1e9 + 0.5) / 1e9;
    const written = fallen.toFixed(9).replace(/\.?0+$/, "");
    const number = written === "-0" || written === "" ? "0" : written;
    return number.length > LONGEST ? null : quantity(number, unit);
  }

  /** Returns whether a value meets every bound of a limit; nothing where they do not compare. */
  function meets(value, limit) {
    const bounds = [
      [limit.atLeast, (order) => order >= 0],
      [limit.atMost, (order) => order <= 0],
      [limit.above, (order) => order > 0],
      [limit.below, (order) => order < 0],
    ];
    let met = true;
    for (const [bound, allows] of bounds) {
      if (!bound) continue;
      const order = orderOf(value, parse(bound));
      if (order === null) return null;
      met = met && allows(order);
    }
    return met;
  }

  /** Compares two quantities: less than one part in 10⁹ is the rounding of a unit conversion, and no difference. */
  function orderOf(a, b) {
    if (a.unit.kind !== b.unit.kind) return null;
    if (Math.abs(a.si - b.si) <= 1e-9 * Math.max(Math.abs(a.si), Math.abs(b.si))) return 0;
    return a.si < b.si ? -1 : 1;
  }

  /** Says what an answer comes to: verdict, headline, values, what is worked out, what follows. */
  function say(step, given) {
    const values = [];
    const verdict = look(step, given, (limit, value, met) => {
      if (!met || limit.of === "fall") values.push(valueWords(limit, value, met, given));
    });
    const words = seen(given);
    let headline = words;
    if (verdict === "pass") headline = given === "pass" ? "pass" : `pass: ${words}`;
    if (verdict === "fail") headline = given === "fail" ? "FAILS" : `FAILS: ${words}`;
    const follows = verdict === "fail" ? step.consequence : null;
    return { verdict, headline, values, reckoned: reserve(step, given), follows, doubt: doubt(step, given) };
  }

  /** Returns what is asked before an answer is taken whose number is hard to believe. */
  function doubt({ belief }, given) {
    if (typeof given === "string") return null;
    if ("reading" in given) return outside(belief, given.reading);
    if ("held" in given) return tooLong(belief, given.held);
    if (!("from" in given)) return null;
    return outside(belief, given.from) || outside(belief, given.to) || rise(belief, given) || tooLong(belief, given.in);
  }

  const doubtful = (text, why) => `${text}? It is hard to believe: ${why}`;

  function outside({ lowest, highest }, text) {
    const number = parse(text);
    const beyond = (edge, sign) => {
      const at = edge && parse(edge.at);
      return at && at.unit.kind === number.unit.kind && (number.si - at.si * edge.times) * sign > 0;
    };
    const edge = (beyond(lowest, -1) && lowest) || (beyond(highest, 1) && highest);
    return edge ? doubtful(text, edge.lacksMinus ? `${edge.why}: -${text}?` : edge.why) : null;
  }

  function tooLong({ longest }, text) {
    const [time, most] = [parse(text), parse(longest)];
    return time.unit.kind === most.unit.kind && time.si > most.si ? doubtful(text, "longer than anybody watches") : null;
  }

  function rise({ largestRise }, given) {
    const [from, to] = [parse(given.from), parse(given.to)];
    const rises = from.unit.kind === to.unit.kind && from.si > 0 && to.si > from.si * (1 + largestRise);
    return rises ? doubtful(given.to, `higher than the ${given.from} at the start`) : null;
  }

  function valueWords(limit, value, met, given) {
    const shown = limit.of === "fall" && value.number.startsWith("-") ? `a rise of ${value.text.slice(1)}` : value.text;
    const leak = limit.of === "fall" ? leakWords(given) : "";
    return `${limit.ofWords} ${shown}${leak} (${met ? "limit" : "limit not met"}: ${limit.words})`;
  }

  /** Returns what was seen, in words. */
  function seen(given) {
    if (typeof given === "string") return given;
    if ("reading" in given) return given.reading;
    if ("held" in given) return `held ${given.held}`;
    if ("from" in given) return `${given.from} to ${given.to} in ${given.in}`;
    if ("choice" in given) return given.choice;
    return `not done: ${given["not-done"]}`;
  }

  /** Says how big the leak is, where the compliance is known. Rounded up: a leak is never shown smaller than it is. */
  function leakWords(given) {
    if (!compliance || compliance.unit.kind !== "compliance") return "";
    const [from, to, time] = [given.from, given.to, given.in].map(parse);
    if (time.si <= 0) return "";
    const flow = (compliance.si * (from.si - to.si)) / time.si;
    const millilitres = (flow / unitOf("L/min").factor) * 1000;
    return millilitres > 1e-6 ? `, a leak of about ${whole(Math.ceil(millilitres - 1e-6))} mL/min` : "";
  }

  /** Says what is left in the cylinder whose gauge was read, and for how long. Rounded down: a reserve is never shown larger than it is. */
  function reserve(step, given) {
    if (!step.cylinder || typeof given === "string" || !("reading" in given)) return null;
    const { gas, capacity, full, source } = step.cylinder;
    const pressure = parse(given.reading);
    // The gauge of a gas that is stored as a liquid does not tell how much is left.
    if (pressure.unit.kind !== GAUGE || !["oxygen", "air"].includes(gas)) return null;
    const [holds, shows] = [parse(capacity), parse(full)];
    const fullIsKnown = shows.unit.kind === GAUGE && shows.si > 0;
    if (fullIsKnown && pressure.si > shows.si * 1.25) return "more than a full cylinder shows; read the gauge again";
    if (!fullIsKnown || holds.unit.kind !== "volume") return null;
    const left = holds.si * Math.max(pressure.si / shows.si, 0);
    const litres = `about ${whole(roundedDown(left / unitOf("L").factor))} L`;
    const lasts = gas === "oxygen" && planningFlow && planningFlow.unit.kind === "flow" && planningFlow.si > 0;
    if (!lasts) return `${litres} (${source})`;
    const minutes = roundedDown(left / planningFlow.si / unitOf("min").factor);
    return `${litres}, ${whole(minutes)} min at ${planningFlow.text} (${source})`;
  }

  /** Returns a whole number with all its digits, however large it is. */
  const whole = (number) => BigInt(number).toString();

  const roundedDown = (number) => Math.floor(number + 1e-6);

  return { begin, answer, say, seen };
})();
