// One reading on the screen: sketch, boxes, what is wrong with it, what is said beside it, and the keys.
const main = document.getElementById("main"), keys = document.getElementById("keys")
const SVG = "http://www.w3.org/2000/svg"
const HIGH = 612
const SIDE_NAMES = {left: "Left", right: "Right"}
const PLUMB = "The plumb line at full bump: where the axle's center stands, seen from the side, with the axle pushed up to its stop. Mark it once on floor and rails; every length ahead or behind starts there."
let active = null, more = false, beside = ""

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

const button = (text, act, facts) => el("button", {type: "button", onclick: act, ...facts}, text)

function alarm(text) {
  const box = document.getElementById("alarm")
  box.textContent = text
  box.hidden = !text
}

function change(path, what) {
  const row = {...entry(path), ...what}
  if (isSame(path, row)) { ENTRIES.delete(path); keep("at " + path, null) } else {
    row.by = row.by || who.by
    row.date = row.date || who.date
    row.with = row.with || who.with
    // what the job said when this was typed: a reading taken in since is not written over unseen
    if (what.value !== undefined || row.was === undefined) row.was = what.was === undefined ? FACTS.known[path] || "" : what.was
    ENTRIES.set(path, row)
    keep("at " + path, row)
  }
  counted()
}

// The sketch of the measuring sheet, cropped to its side view or its plan, with the arrow of this reading.
function picture(field) {
  const whole = document.querySelector("#sketch svg").cloneNode(true)
  const top = field.plan ? 300 : 42
  whole.setAttribute("viewBox", "140 " + top + " 560 " + (field.plan ? 240 : 262))
  const [x, y] = [field.at[0], HIGH - field.at[1]]
  whole.querySelectorAll("text").forEach(text => text.setAttribute("font-size", 12))
  const mark = (tag, facts) => {
    const made = document.createElementNS(SVG, tag)
    for (const name in facts) made.setAttribute(name, facts[name])
    whole.append(made)
  }
  const ink = {stroke: "#c2410c", "stroke-width": 4, fill: "none"}
  if (field.start) {
    const [a, b] = [field.start[0], HIGH - field.start[1]]
    const far = Math.hypot(x - a, y - b)
    mark("line", {...ink, x1: a, y1: b, x2: x, y2: y})
    if (far > 34) {
      const [u, v] = [(x - a) / far, (y - b) / far]
      for (const [px, py, s] of [[x, y, 1], [a, b, -1]])
        mark("polygon", {fill: "#c2410c", points: [[0, 0], [-13, 6], [-13, -6]]
          .map(([p, q]) => (px + s * (p * u - q * v)) + "," + (py + s * (p * v + q * u))).join(" ")})
    }
  }
  mark("circle", {...ink, cx: x, cy: y, r: 13})
  return el("div", {class: "picture"}, whole)
}

function card(item, place, count) {
  const field = item.field, list = field.list ? FACTS.lists[field.list] : null
  main.className = "reading"
  const title = (list ? list.title + " " + item.row + ": " : "") + field.title
  const facts = [["any", "said"].includes(field.state) ? "" : "read " + FACTS.states[field.state], field.range, field.sure,
    field.role === "measured" ? "" : "a wish or a choice: no tape", field.safety && field.role === "measured" ? "SAFETY: never guessed" : ""].filter(Boolean)
  main.replaceChildren(
    el("section", {},
      el("p", {class: "small where"}, el("span", {}, who.only ? "for " + who.only + ": " + FACTS.stops[field.stop] : FACTS.stops[field.stop]), el("span", {}, (place + 1) + " of " + count)),
      picture(field),
      el("h1", {}, field.code + "  " + title),
      el("p", {class: "how"}, field.how + "."),
      /plumb line/.test(field.how) ? el("p", {class: "small"}, PLUMB) : null,
      el("p", {class: "small"}, facts.join(" · "))),
    el("section", {},
      field.state === "any" ? null : standing(item),
      boxes(item),
      aside(item),
      el("div", {class: "row"},
        button("Back", () => step(-1)),
        list ? button("Another " + list.title, () => another(field.list)) : null,
        button(numeric(field) ? "Skip" : "Next", () => step(1), {class: numeric(field) ? "" : "main"}))))
  board(item)
  tell(item)
}

const numeric = field => !["word", "text", "date"].includes(field.kind)

// How the truck stands now: asked where a reading is good at one height only, and kept with the reading.
function standing(item) {
  return el("div", {class: "states", role: "group", "aria-label": "How the truck stands now"},
    ...Object.keys(FACTS.states).map(state => button(FACTS.states[state], () => {
      who.state = state
      keep("who", who)
      pathsOf(item).filter(path => ENTRIES.has(path)).forEach(path => change(path, {state}))
      for (const [at, chosen] of main.querySelectorAll("[data-state]").entries())
        chosen.setAttribute("aria-pressed", Object.keys(FACTS.states)[at] === state)
      tell(item)
    }, {"data-state": state, "aria-pressed": String(who.state === state)})))
}

function boxes(item) {
  const field = item.field, paths = pathsOf(item)
  if (field.words.length) return choices(item)
  const made = el("div", {})
  const again = more || paths.some(path => entry(path).again)
  for (const which of again && numeric(field) ? ["value", "again"] : ["value"]) {
    const pair = el("div", {class: paths.length > 1 ? "pair" : "pair one"})
    paths.forEach(path => pair.append(box(item, path, which)))
    made.append(pair)
  }
  return made
}

function box(item, path, which) {
  const field = item.field, side = SIDE_NAMES[path.slice(item.name.length + 1)] || ""
  const name = [side, which === "again" ? "second reading" : side ? "" : "Reading"].filter(Boolean).join(", ")
  const facts = {id: which + " " + path, class: "box-in", autocomplete: "off", "data-path": path, "data-which": which, value: entry(path)[which],
    "aria-describedby": "told " + path}
  if (numeric(field)) Object.assign(facts, {inputmode: "none", type: "text", maxlength: 60})
  else if (field.kind === "date") facts.type = "date"
  else Object.assign(facts, {type: "text", maxlength: field.high})
  const input = el("input", facts)
  input.addEventListener("focus", () => use(item, input))
  input.addEventListener("input", () => typed(item, input))
  input.addEventListener("keydown", event => { if (event.key === "Enter") { event.preventDefault(); onward(item) } })
  const told = which === "value" ? el("p", {class: "told", id: "told " + path, "aria-live": "polite"}) : null
  return el("div", {class: "box"}, el("label", {for: which + " " + path}, name + (field.unit ? ", " + field.unit : "")), input, told)
}

function typed(item, input) {
  const state = item.field.state !== "any" ? who.state : ""
  change(input.dataset.path, {[input.dataset.which]: input.value, by: who.by, date: who.date, with: who.with, state})
  tell(item)
}

function use(item, input) {
  active = input
  beside = input.dataset.path
  const under = input.getBoundingClientRect().bottom + 26 - keys.getBoundingClientRect().top
  if (!keys.hidden && getComputedStyle(keys).position === "sticky" && under > 0) window.scrollBy(0, under)
  main.querySelectorAll(".box-in").forEach(other => other.classList.toggle("active", other === input))
  const named = document.getElementById("beside")
  if (named) named.replaceWith(aside(item))
}

function choices(item) {
  const path = item.name
  return el("div", {class: "box"}, el("div", {class: "row", role: "group", "aria-label": item.field.title},
    ...item.field.words.map(word => button(word.replaceAll("_", " "), event => {
      change(path, {value: entry(path).value === word ? "" : word, by: who.by, date: who.date, with: who.with})
      event.target.parentNode.querySelectorAll("button").forEach(other =>
        other.setAttribute("aria-pressed", String(other === event.target && entry(path).value === word)))
      tell(item)
    }, {"aria-pressed": String(entry(path).value === word)}))), el("p", {class: "told", id: "told " + path, "aria-live": "polite"}))
}

// What is wrong with each side, said under its box.
function tell(item) {
  for (const path of pathsOf(item)) {
    const {bad, ask} = judged(path, item.field), told = document.getElementById("told " + path)
    if (!told) continue
    const fine = hasValue(path) && !bad.length && !ask.length
    told.className = "told " + (bad.length ? "bad" : ask.length ? "ask" : "good")
    told.textContent = [...bad, ...ask].join(" ") || (fine ? "within range" : "")
  }
}

// Second reading, why not, remark and photos: of the side whose box was used last.
function aside(item) {
  const path = pathsOf(item).includes(beside) ? beside : pathsOf(item)[0], row = entry(path)
  const side = pathsOf(item).length > 1 ? " (" + path.split(".").pop() + ")" : ""
  const line = (label, what) => el("p", {}, el("label", {}, label + side,
    el("input", {class: "line", type: "text", maxlength: FACTS.most.remark, value: row[what],
      oninput: event => { change(path, {[what]: event.target.value}); tell(item) }})))
  const opened = what => row[what] || open === what + path
  const shows = what => button({cannot: "Cannot be measured", remark: "Remark"}[what], () => {
    open = opened(what) ? "" : what + path
    document.getElementById("beside").replaceWith(aside(item))
    const made = document.querySelector("#beside [data-line=" + what + "] input")
    if (made) made.focus()
  }, {"aria-expanded": String(Boolean(opened(what)))})
  const lines = [["cannot", "Cannot be measured: why"], ["remark", "Remark"]].filter(([what]) => opened(what)).map(([what, label]) => {
    const made = line(label, what)
    made.dataset.line = what
    return made
  })
  const shots = el("div", {class: "photos"})
  const file = el("input", {type: "file", accept: "image/*", "aria-label": "Photo beside this reading" + side,
    onchange: event => taken(item, path, event.target)})
  const made = el("div", {id: "beside"},
    el("div", {class: "row"},
      numeric(item.field) && !more && !row.again ? button("Second reading", () => { more = true; shownAgain(item) }) : null,
      el("label", {class: "file"}, "Photo" + side, file), shows("cannot"), shows("remark")),
    ...lines, el("p", {class: "told bad", id: "photo-told", role: "status"}), shots)
  if (row.photos) photosOf(path).then(list => shots_(shots, item, path, list))
  return made
}

let open = ""

async function taken(item, path, input) {
  const told = document.getElementById("photo-told")
  told.textContent = ""
  for (const file of input.files) {
    try {
      const list = [...await photosOf(path), await scaled(file)]
      await keepPhotos(path, list)
      change(path, {photos: list.length})
    } catch (error) {
      told.textContent = error.message
      input.value = ""
      return
    }
  }
  document.getElementById("beside").replaceWith(aside(item))
}

function shots_(shots, item, path, list) {
  shots.replaceChildren(...list.map((data, index) => el("figure", {},
    el("img", {src: data, alt: "photo " + (index + 1) + " beside this reading"}),
    button("Take away", async () => {
      const left = list.filter((_, other) => other !== index)
      await keepPhotos(path, left)
      change(path, {photos: left.length})
      document.getElementById("beside").replaceWith(aside(item))
    }))))
}

// The keys: digits, and for a tape in inches every sixteenth.
function board(item) {
  const field = item.field
  keys.hidden = !numeric(field)
  if (keys.hidden) return
  const inches = isInch(field.kind)
  const key = (text, act, facts) => el("button", {type: "button", tabindex: "-1", onpointerdown: event => event.preventDefault(),
    onclick: act || (() => press(text)), ...facts}, text)
  const digits = el("div", {class: "digits"}, ..."789456123".split("").map(text => key(text)), key("−", () => press("-"), {"aria-label": "minus"}), key("0"), key("."))
  const parts = el("div", {class: "parts"})
  for (let over = 1; inches && over < 16; over++) {
    let [top, under] = [over, 16]
    while (top % 2 === 0) { top /= 2; under /= 2 }
    parts.append(key(top + "/" + under, null, {class: under < 16 ? "half" : ""}))
  }
  if (inches) parts.append(key("ft", () => press("'"), {"aria-label": "feet"}))
  keys.className = inches ? "" : "plain"
  keys.replaceChildren(digits, ...inches ? [parts] : [], el("div", {class: "last"}, key("⌫", () => press("back"), {"aria-label": "take away the last"}),
    key("Clear", () => press("clear")), button("Next", () => onward(item), {class: "main"})))
}

function press(text) {
  if (!active) return
  active.value = pressed(active.value, text)
  active.dispatchEvent(new Event("input"))
}

// What stands in a box after one key: a fraction takes the place of the one before, a digit goes before it.
function pressed(now, text) {
  if (text === "clear") return ""
  if (text === "-") return now.startsWith("-") ? now.slice(1) : "-" + now
  const found = /^(-?)(?:(\d+)' ?)?(\d*)(\.\d*)?(?: ?(\d+\/\d+))?$/.exec(now)
  if (!found) return text === "back" ? now.slice(0, -1) : now + text
  let [, minus, feet, whole, point, part] = found
  if (text === "back") {
    if (part) part = ""
    else if (point) point = point.slice(0, -1)
    else if (whole) whole = whole.slice(0, -1)
    else if (feet) { whole = feet; feet = "" }
    else minus = ""
  } else if (text === "'") {
    if (!feet && whole) { feet = whole; whole = "" }
  } else if (text === ".") { part = ""; point = point || "." }
  else if (text.includes("/")) { part = text; point = "" }
  else if (point) point += text
  else whole += text
  const inches = [whole + (point || ""), part].filter(Boolean).join(" ")
  return minus + (feet ? feet + "'" + (inches ? " " + inches : "") : inches)
}
