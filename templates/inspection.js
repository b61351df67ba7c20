"use strict";
(() => {
  // Keeps what is written on the sheet, and saves and loads it as a record. Nothing leaves this device.
  const sheet = JSON.parse(document.getElementById("sheet").textContent);
  const tests = new Map(sheet.tests.map((test) => [test.test, test]));
  const cards = new Map([...document.querySelectorAll("[data-test]")].map((card) => [card.dataset.test, card]));
  const place = `docgen inspection ${sheet.head.description}`;
  const who = document.getElementById("who");
  let entries = {};
  let keeps = true;
  let unsaved = false;
  let told = "";

  const isDone = (entry) => Boolean(entry && (entry.seen || entry.measured));
  const unfit = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufffe\uffff]|\p{Surrogate}/gu;
  const clean = (text) => text.replace(/\r\n?/g, "\n").replace(unfit, " ").trim();
  const twoDigits = (number) => String(number).padStart(2, "0");

  function hintFor(card, text) {
    if (!text || !card.dataset.figure) return "";
    if (/\d,\d/.test(text)) return "write a decimal point, 3.1 and not 3,1";
    return /\d\s*[^\s\d.]/.test(text) ? "" : "write the unit, as in 3.1 s";
  }

  function show(slug) {
    const card = cards.get(slug);
    const entry = entries[slug] || {};
    for (const input of card.querySelectorAll("[data-field]")) {
      const value = entry[input.dataset.field] || "";
      if (input.type === "radio") input.checked = input.value === value;
      else if (input.value !== value) input.value = value;
      input.classList.toggle("empty", !value);
    }
    mark(slug);
  }

  function mark(slug) {
    const card = cards.get(slug);
    const entry = entries[slug] || {};
    card.dataset.state = entry.seen === "otherwise" ? "otherwise" : isDone(entry) ? "done" : card.dataset.state === "old" ? "old" : "";
    card.querySelector(".hint").textContent = card.dataset.state === "old" ? "recorded for another state of the description: repeat" : hintFor(card, entry.measured);
  }

  function tell() {
    const all = Object.values(entries);
    const done = all.filter(isDone).length;
    const otherwise = all.filter((entry) => entry.seen === "otherwise").length;
    const kept = keeps ? "kept in this browser" : "this browser keeps nothing: save often";
    const state = `${done} of ${tests.size} done, ${otherwise} otherwise; ${unsaved ? `not saved to a file, ${kept}` : kept}`;
    document.getElementById("state").textContent = told ? `${told} ${state}` : state;
  }

  function keep() {
    try {
      localStorage.setItem(place, JSON.stringify({ entries, who: who.value }));
    } catch {
      keeps = false;
    }
    tell();
  }

  function written(event) {
    const card = event.target.closest("[data-test]");
    const field = event.target.dataset.field;
    if (!card || !field) return;
    const slug = card.dataset.test;
    const entry = { ...entries[slug] };
    const first = !isDone(entry);
    entry[field] = event.target.value;
    if (first && isDone(entry)) {
      const now = new Date();
      entry.date ||= `${now.getFullYear()}-${twoDigits(now.getMonth() + 1)}-${twoDigits(now.getDate())}`;
      entry.time ||= `${twoDigits(now.getHours())}:${twoDigits(now.getMinutes())}`;
      entry.role ||= who.value.trim();
    }
    entries[slug] = entry;
    unsaved = true;
    told = "";
    show(slug);
    keep();
  }

  function cleared(event) {
    if (!("clear" in event.target.dataset)) return;
    const slug = event.target.closest("[data-test]").dataset.test;
    entries[slug] = { ...entries[slug], seen: "" };
    unsaved = true;
    show(slug);
    keep();
  }

  // Saving

  const quoted = (text) => JSON.stringify(text);
  const ofTest = (slug, field) => clean(String((entries[slug] || {})[field] || ""));

  function asYaml() {
    const lines = ["# The record of an inspection. Roles, never names. This record approves nothing.", `inspection_record: ${sheet.format}`];
    for (const [key, value] of Object.entries(sheet.head)) if (value) lines.push(`${key}: ${quoted(value)}`);
    lines.push("tests:");
    for (const test of tests.values()) {
      lines.push(`  ${quoted(test.test)}:`);
      for (const field of sheet.filled) {
        const value = ofTest(test.test, field);
        if (value) lines.push(`    ${field}: ${quoted(value)}`);
      }
      lines.push(`    digest: ${quoted(test.digest)}`);
      lines.push(`    rests_on: {${Object.entries(test.rests_on).map(([key, value]) => `${quoted(key)}: ${quoted(value)}`).join(", ")}}`);
    }
    return `${lines.join("\n")}\n`;
  }

  const harmless = (text) => text.replace(/(^|[;\t])(?=[=+\-@\t＝＋－＠])/g, "$1'");

  function cell(text) {
    const safe = harmless(text.replace(/\n/g, " "));
    return /[",\r\n]/.test(safe) ? `"${safe.replace(/"/g, '""')}"` : safe;
  }

  function asCsv() {
    const rows = [sheet.columns];
    for (const test of tests.values()) {
      rows.push(sheet.columns.map((column) => {
        if (sheet.filled.includes(column)) return ofTest(test.test, column);
        if (column === "rests_on") return JSON.stringify(test.rests_on);
        return test[column] ?? sheet.head[column] ?? "";
      }));
    }
    return `\ufeff${rows.map((row) => row.map(cell).join(",")).join("\r\n")}\r\n`;
  }

  function save(name, text) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "text/plain;charset=utf-8" }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    unsaved = false;
    told = `Saved ${name} to the downloads.`;
    tell();
  }

  // Loading

  function scalar(text) {
    const value = text.trim();
    if (value.startsWith('"')) return JSON.parse(/^"(?:[^"\\]|\\.)*"/.exec(value)[0]);
    if (value.startsWith("'")) return /^'((?:[^']|'')*)'/.exec(value)[1].replace(/''/g, "'");
    return value.replace(/(^|\s)#.*$/, "").trim();
  }

  function fromYaml(text) {
    const found = Object.create(null);
    let slug = "";
    for (const line of text.replace(/^\ufeff/, "").split(/\r?\n/)) {
      const field = /^ {4}([a-z_]+):(.*)$/.exec(line);
      const test = /^ {2}(\S.*?):\s*$/.exec(line);
      if (test) found[(slug = scalar(test[1]))] = {};
      else if (field && slug && field[1] !== "rests_on") found[slug][field[1]] = scalar(field[2]);
    }
    return found;
  }

  function rowsOf(text) {
    const separator = /^[^\n]*;/.test(text) && !/^[^\n]*,/.test(text) ? ";" : ",";
    const rows = [[""]];
    let inside = false;
    for (let at = 0; at < text.length; at += 1) {
      const row = rows[rows.length - 1];
      const letter = text[at];
      if (inside && letter === '"' && text[at + 1] === '"') { row[row.length - 1] += '"'; at += 1; }
      else if (letter === '"') inside = !inside;
      else if (!inside && letter === separator) row.push("");
      else if (!inside && letter === "\n") rows.push([""]);
      else if (inside || letter !== "\r") row[row.length - 1] += letter;
    }
    return rows;
  }

  function fromCsv(text) {
    const [columns, ...rows] = rowsOf(text.replace(/^\ufeff/, ""));
    const found = Object.create(null);
    for (const row of rows.filter((cells) => cells.length > 1)) {
      const entry = Object.fromEntries(columns.map((column, index) => [column, (row[index] || "").replace(/(^|[;\t])'(?=[=+\-@\t＝＋－＠])/g, "$1")]));
      found[entry.test] = entry;
    }
    return found;
  }

  async function load(event) {
    const file = event.target.files[0];
    if (!file) return;
    try {
      const text = await file.text();
      const found = file.name.toLowerCase().endsWith(".csv") ? fromCsv(text) : fromYaml(text);
      let taken = 0, old = 0, unknown = 0;
      for (const [slug, recorded] of Object.entries(found)) {
        if (!tests.has(slug)) unknown += 1;
        else if (isDone(recorded) && recorded.digest && recorded.digest !== tests.get(slug).digest) {
          cards.get(slug).dataset.state = "old";
          old += 1;
          mark(slug);
        } else if (sheet.filled.some((field) => recorded[field])) {
          entries[slug] = Object.fromEntries(sheet.filled.map((field) => [field, recorded[field] || ""]));
          taken += 1;
          show(slug);
        }
      }
      told = `Loaded ${taken} from ${file.name}${old ? `, ${old} to be repeated` : ""}${unknown ? `, ${unknown} unknown here` : ""}.`;
    } catch (error) {
      told = `${file.name} could not be read as a record.`;
    }
    event.target.value = "";
    keep();
  }

  function goOn() {
    const bar = document.querySelector(".bar").getBoundingClientRect().bottom;
    const open = [...cards.values()].filter((card) => !isDone(entries[card.dataset.test]));
    const next = open.find((card) => card.getBoundingClientRect().top > bar + 40) || open[0];
    if (next) next.scrollIntoView({ block: "start" });
  }

  try {
    const kept = JSON.parse(localStorage.getItem(place) || "{}");
    entries = kept.entries || {};
    who.value = kept.who || "";
  } catch {
    keeps = false;
  }
  for (const slug of cards.keys()) show(slug);
  tell();
  document.addEventListener("input", written);
  document.addEventListener("click", cleared);
  who.addEventListener("input", keep);
  document.getElementById("load").addEventListener("change", load);
  document.getElementById("save-yaml").addEventListener("click", () => save("record.yaml", asYaml()));
  document.getElementById("save-csv").addEventListener("click", () => save("record.csv", asCsv()));
  document.getElementById("next").addEventListener("click", goOn);
  addEventListener("beforeunload", (event) => { if (unsaved) event.preventDefault(); });
})();
