
// From the answers of a check to the text of its record, and of the record of a fault.
//
// Writes a plain subset of YAML that every reader takes alike: all texts in double quotes, in the order in which the
// program writes its own records (src/record/write.rs). Nothing here knows the page: plain data to plain data.

const record = (() => {
  const INDENT = "  ";
  // What turns the direction of a line, or is not seen, is written as an escape: on a screen it would hide what is said.
  const HIDDEN = /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufffe\uffff]/g;
  // No record may hold these; nobody types them, but a paste can bring them.
  const UNWRITABLE = /[\u0000-\u0008\u000b\u000c\u000e-\u001f]/g;
  const LONE_SURROGATE = /[\ud800-\udfff]/gu;

  function quoted(text) {
    const writable = text.replace(UNWRITABLE, " ").replace(LONE_SURROGATE, "\ufffd");
    const escape = (sign) => `\\u${sign.charCodeAt(0).toString(16).toUpperCase().padStart(4, "0")}`;
    return JSON.stringify(writable).replace(HIDDEN, escape);
  }

  /** Returns a value as the part of a line that follows its key, or as the lines under it. */
  function yaml(value, depth) {
    if (typeof value === "string") return ` ${quoted(value)}`;
    if (!Array.isArray(value) && typeof value === "object") {
      const lines = Object.entries(value).map(([key, inner]) => `${INDENT.repeat(depth)}${quoted(key)}:${yaml(inner, depth + 1)}`);
      return `\n${lines.join("\n")}`;
    }
    if (Array.isArray(value)) return ` [${value.map(inline).join(", ")}]`;
    return ` ${value}`;
  }

  function inline(value) {
    if (typeof value === "string") return quoted(value);
    return `{${Object.entries(value).map(([key, inner]) => `${quoted(key)}: ${inline(inner)}`).join(", ")}}`;
  }

  function text(fields) {
    const present = Object.entries(fields).filter(([, value]) => value !== undefined && value !== null && value !== "");
    return `${present.map(([key, value]) => `${key}:${yaml(value, 1)}`).join("\n")}\n`;
  }

  /** Returns one result as records write it. */
  function result({ answer, earlier, remark }) {
    if (earlier.length === 0 && !remark) return answer;
    const written = typeof answer === "string" ? { answer } : { ...answer };
    if (earlier.length > 0) written.earlier = earlier;
    if (remark) written.remark = remark;
    return written;
  }

  /** Returns the results in the order of the steps; what has no answer is left out. */
  function results(steps, given) {
    const written = {};
    for (const step of steps) {
      const one = given[step.place];
      if (!one) continue;
      if (step.each === null) written[step.item] = result(one);
      else written[step.item] = { ...written[step.item], [step.each]: result(one) };
    }
    return written;
  }

  /** Returns the text of a check's record. */
  function check(page, draft, recorded) {
    return text({
      record: "check",
      machine: page.machine.id,
      procedure: page.procedure.id,
      revision: page.procedure.revision,
      started: moment(draft.started, page.zone),
      finished: moment(draft.finished, page.zone),
      recorded: moment(recorded, page.zone),
      by: draft.by,
      "emergency-start": draft.emergency || undefined,
      form: { on: "page", code: page.code, ...(page.commit && { commit: page.commit }), made: page.made },
      results: results(page.steps, draft.results),
      remarks: draft.remarks.trim(),
    });
  }

  /** Returns the text of the record of a fault that a check showed. */
  function fault(page, draft, fault, items, recorded) {
    const restricted = { restricted: fault.restriction.trim(), until: fault.until, owner: fault.owner };
    return text({
      record: "fault",
      machine: page.machine.id,
      found: moment(draft.finished, page.zone),
      recorded: moment(recorded, page.zone),
      by: draft.by,
      "found-during": { check: path(page, draft), items },
      what: fault.what.trim(),
      use: fault.use === "withheld" ? "withheld" : restricted,
    });
  }

  /** Returns the path under which the check will be filed. */
  function path(page, draft) {
    return `records/${moment(draft.finished, page.zone).slice(0, 10).replace(/-/g, "/")}/${name(page, draft, "check")}`;
  }

  /** Returns the name of a record's file: the time it was finished, the machine, the kind. */
  function name(page, draft, kind) {
    return `${moment(draft.finished, page.zone).slice(11, 19).replace(/:/g, "")}-${page.machine.id}.${kind}.yaml`;
  }

  const two = (number) => String(Math.abs(number)).padStart(2, "0");

  /** Returns how many minutes a zone's clocks are ahead of UTC at an instant; those of the device where it knows no zones. */
  function offsetMinutes(instant, zone) {
    try {
      const options = { timeZone: zone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", second: "2-digit" };
      const parts = {};
      for (const { type, value } of new Intl.DateTimeFormat("en-GB", options).formatToParts(instant)) parts[type] = Number(value);
      const wall = Date.UTC(parts.year, parts.month - 1, parts.day, parts.hour, parts.minute, parts.second);
      return Math.round((wall - Math.floor(instant / 1000) * 1000) / 60000);
    } catch {
      return -new Date(instant).getTimezoneOffset();
    }
  }

  /** Returns an instant (milliseconds) as RFC 3339 with the offset of a zone: `2026-11-25T06:42:10+01:00`. */
  function moment(instant, zone) {
    const offset = offsetMinutes(instant, zone);
    const wall = new Date(Math.floor(instant / 1000) * 1000 + offset * 60000).toISOString().slice(0, 19);
    return `${wall}${offset < 0 ? "-" : "+"}${two(Math.trunc(offset / 60))}:${two(offset % 60)}`;
  }

  return { check, fault, path, name, moment };
})();
