"use strict"
const token = new URLSearchParams(location.search).get("token")
const by = {}, started = {}
let running = false, again = false, wait = 0, waited = 0, read
const told = document.getElementById("told")

function el(tag, facts, ...inside) {
  const made = document.createElement(tag)
  for (const name in facts || {}) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), facts[name])
    else if (typeof facts[name] === "boolean") made.toggleAttribute(name, facts[name])
    else made.setAttribute(name, facts[name])
  }
  made.append(...inside.filter(part => part !== null && part !== undefined))
  return made
}

async function ask(what, more) {
  const got = await fetch("/live/" + what, {method: "POST", headers: {"X-Token": token, "Content-Type": "application/json"},
    body: JSON.stringify({by, read, ...more})})
  if (got.ok) return got.json()
  const text = await got.text()
  let faults = [text]
  try { faults = JSON.parse(text).faults } catch (error) { /* words as they are */ }
  throw new Error(faults.join(" "))
}

function inches(value) {
  const parts = Math.round(Math.abs(value) * 16)
  let over = parts % 16, under = 16
  while (over && over % 2 === 0) { over /= 2; under /= 2 }
  const whole = Math.floor(parts / 16)
  return (value < 0 && parts ? "-" : "") + (over ? (whole ? whole + " " : "") + over + "/" + under : whole)
}

const shown = (value, dial) => (dial.inches ? inches(value) : String(+value.toFixed(2))) + " " + dial.unit

function dialOf(dial) {
  const out = el("output", {for: "turn-" + dial.name}, shown(dial.now, dial))
  const input = el("input", {type: "range", id: "turn-" + dial.name, min: String(Math.ceil((dial.low - dial.now) / dial.step - 1e-6)),
    max: String(Math.floor((dial.high - dial.now) / dial.step + 1e-6)), step: "1", value: "0", "aria-valuetext": shown(dial.now, dial)})
  const box = el("div", {class: "dial"}, el("label", {for: "turn-" + dial.name}, el("span", {}, dial.title), out), input,
    dial.why ? el("p", {class: "small"}, "Only to look at. To build so: " + dial.why + ".") : null)
  input.addEventListener("input", () => {
    const far = Number(input.value) * dial.step
    if (far) by[dial.name] = far
    else delete by[dial.name]
    out.textContent = shown(dial.now + far, dial)
    input.setAttribute("aria-valuetext", out.textContent)
    box.classList.toggle("turned", far !== 0)
    turn()
  })
  return box
}

// One question at a time; of what was turned meanwhile only the last is asked.
async function turn() {
  again = true
  clearTimeout(wait)
  document.getElementById("behind").classList.add("late")
  document.getElementById("lines").replaceChildren()
  if (running) return
  running = true
  while (again) {
    again = false
    const before = performance.now()
    try {
      show(await ask("answer"))
      told.textContent = Object.keys(by).length ? "answered in " + Math.round(performance.now() - before) + " ms; parts, gaps and margins follow when you rest" : "as the job file says"
    } catch (error) { told.textContent = error.message }
  }
  running = false
  wait = setTimeout(behind, 600)
}

function cell(now, was) {
  if (now === null) return el("td", {class: "bad"}, "no rest")
  const moved = was !== undefined && was !== null && Math.abs(now - was) > 0.005
  return el("td", {class: moved ? "moved" : ""}, (now + 0).toFixed(2).replace(/^-0\.00$/, "0.00"), moved ? el("small", {}, "was " + was.toFixed(2)) : null)
}

function show(answer) {
  const rows = answer.values.map(row => el("tr", {}, el("td", {}, row.title + ", " + row.unit),
    ...row.now.map((value, at) => cell(value, row.was[at]))))
  const wrong = [...answer.waits, ...answer.fits]
  document.getElementById("moves").replaceChildren(
    ...wrong.length ? [el("h2", {}, "Does not fit"), el("ul", {}, ...wrong.map(says => el("li", {class: "bad"}, says)))] : [],
    el("h2", {}, "Travel"),
    el("table", {}, el("thead", {}, el("tr", {}, ...["", "full bump", "ride height", "full droop"].map(name => el("th", {}, name)))), el("tbody", {}, ...rows)),
    el("h2", {}, "Limits, most used first"),
    el("ul", {}, ...answer.limits.map(limit => el("li", {class: limit.over ? "bad" : ""}, limit.says,
      el("meter", {min: "0", max: "1.2", high: "0.9", low: "0.8", optimum: "0", value: String(Math.max(0, Math.min(1.2, limit.used)))})))))
}

async function behind() {
  const box = document.getElementById("behind")
  try {
    const mine = waited = (await ask("behind")).number
    box.replaceChildren(el("h2", {}, "Parts, gaps, margins"), el("p", {class: "small"}, "designing the truck with its loads behind this; go on turning"))
    for (;;) {
      const done = await ask("done")
      if (mine !== waited) return
      if (done.number >= mine) { showBehind(done.answer); return }
      await new Promise(rest => setTimeout(rest, 500))
    }
  } catch (error) { told.textContent = error.message }
}

function showBehind(answer) {
  const box = document.getElementById("behind")
  const list = (title, rows, none) => [el("h2", {}, title), el("ul", {}, ...(rows.length ? rows : [none]).map(says => el("li", {}, says)))]
  box.classList.remove("late")
  if (answer.faults) { box.replaceChildren(...list("Could not be designed", answer.faults, "")); return }
  box.replaceChildren(...list("Closest pairs", answer.gaps, "nothing within reach"), ...list("What ends the travel", answer.limits, "nothing"),
    ...list("Margins that move", answer.margins, "none"), ...list("Parts that would change (" + answer.same + " stay)", answer.parts, "none"))
}

async function lines() {
  const box = document.getElementById("lines")
  try {
    const found = (await ask("lines")).lines
    if (!found.length) { box.replaceChildren(el("p", {}, "No line of the job file would change.")); return }
    const text = el("pre", {})
    for (const [number, was, now] of found)
      text.append(el("span", {class: "old"}, number + " - " + was.trim()), "\n", el("span", {class: "new"}, number + " + " + now.trim()), "\n")
    box.replaceChildren(el("h2", {}, "Lines that would change"), text,
      el("button", {type: "button", class: "main", onclick: () => write(found.map(line => line[2]))}, "Write"))
  } catch (error) { box.replaceChildren(el("p", {class: "bad"}, error.message)) }
}

async function write(shownLines) {
  const box = document.getElementById("lines")
  try {
    const kept = (await ask("write", {lines: shownLines})).kept
    for (const name in by) delete by[name]
    await begin()
    told.textContent = "written; the job file as it was is kept as " + kept
  } catch (error) { box.replaceChildren(el("p", {class: "bad"}, error.message)) }
}

async function begin() {
  for (const name in by) delete by[name]
  const got = await ask("start")
  read = got.read
  document.getElementById("chassis").textContent = got.chassis + ":"
  document.getElementById("dials").replaceChildren(el("h2", {}, "Wishes and choices"), ...got.dials.map(dialOf),
    el("button", {type: "button", onclick: begin}, "Back to the job file"),
    el("button", {type: "button", class: "main", onclick: lines}, "Write to the job file ..."), el("div", {id: "lines"}))
  show(got.answer)
  told.textContent = "as the job file says"
  document.getElementById("behind").replaceChildren(el("p", {class: "small"}, "Turn something: parts, gaps and margins follow."))
}

begin().catch(error => { told.textContent = error.message })
