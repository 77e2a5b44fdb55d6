// The pages of the form: who measures, one reading, the walk, the parts, handing back; and what holds them together.
const today = () => { const now = new Date(); return new Date(now - now.getTimezoneOffset() * 6e4).toISOString().slice(0, 10) }
const who = {by: FACTS.by, date: "", with: "", state: "", page: "read", at: "", only: FACTS.parts[0].title, ...kept("who")}
const PAGES = {read: "to-read", walk: "to-walk", parts: "to-parts", hand: "to-hand"}

for (const path of keptPaths()) ENTRIES.set(path, {...FRESH, ...kept("at " + path)})

function line() {
  const every = itemsOf()
  const part = FACTS.parts.find(row => row.title === who.only)
  return part ? every.filter(item => part.fields.includes(BY_NAME.get(item.field.name)) && item.field.needed) : every
}

function item() {
  const every = line()
  const at = Math.max(0, every.findIndex(row => row.name === who.at))
  return [every[at], at, every.length]
}

function go(name) {
  if (name && !line().some(row => row.name === name)) who.only = ""
  who.at = name
  who.page = "read"
  more = false
  open = ""
  keep("who", who)
  render()
  const first = main.querySelector(".box-in, .box button")
  window.scrollTo(0, 0)
  if (first) first.focus({preventScroll: true})
}

function step(by) {
  const every = line(), [, at] = item()
  let next = at + by
  while (who.only && by > 0 && every[next] && !owed(every[next]).length) next += 1
  if (who.only && by > 0 && !every[next]) { show("parts"); return }
  if (every[next]) go(every[next].name)
  else if (by > 0) show("hand")
}

// After a box: the other side where it is empty, then the next reading.
function onward(now) {
  const boxes = [...main.querySelectorAll(".box-in")], next = boxes[boxes.indexOf(active) + 1]
  if (next && (!next.value || document.activeElement !== next) && boxes.indexOf(active) >= 0) next.focus()
  else step(1)
}

function another(list) {
  const rows = rowsOf(list) + 1
  if (rows > FACTS.most.rows) { alarm("At most " + FACTS.most.rows + " of them."); return }
  keep("rows", {...kept("rows"), [list]: rows})
  go(FACTS.fields.find(field => field.list === list).name.replace("*", rows))
}

function shownAgain(now) {
  render()
  const box = document.getElementById("again " + (pathsOf(now).includes(beside) ? beside : pathsOf(now)[0]))
  if (box) box.focus()
}

function show(page) {
  who.page = page
  keep("who", who)
  render()
  window.scrollTo(0, 0)
}

function render() {
  for (const page in PAGES) {
    const made = document.getElementById(PAGES[page])
    if (who.page === page) made.setAttribute("aria-current", "page")
    else made.removeAttribute("aria-current")
  }
  keys.hidden = true
  main.className = ""
  active = null
  if (!who.by || !who.date) starting()
  else if (who.page === "walk") walking()
  else if (who.page === "parts") parting()
  else if (who.page === "hand") handing()
  else card(...item())
  counted()
}

function counted() {
  const left = itemsOf().reduce((sum, row) => sum + owed(row).length, 0)
  document.getElementById("count").textContent = ENTRIES.size + " taken, " + left + " needed"
}

function starting() {
  const name = el("input", {class: "line", type: "text", maxlength: 60, value: who.by, autocomplete: "name"})
  const date = el("input", {class: "line", type: "date", value: who.date || today()})
  const tool = el("input", {class: "line", type: "text", maxlength: 60, value: who.with, placeholder: "tape 2, finder 1"})
  const begin = event => {
    event.preventDefault()
    if (!name.value.trim() || !date.value || /[<>]/.test(name.value + tool.value)) { alarm("Your name in plain words, and the day."); return }
    alarm("")
    Object.assign(who, {by: name.value.trim(), date: date.value, with: tool.value.trim()})
    go(who.at || (line().find(row => owed(row).length) || line()[0]).name)
  }
  main.replaceChildren(el("form", {onsubmit: begin},
    el("h1", {}, "Who measures, and when"),
    el("p", {}, "They stand beside every reading you take. What you type stays on this phone when it sleeps; nothing is sent anywhere. At the end you hand back one file."),
    el("p", {}, el("label", {}, "Your name", name)), el("p", {}, el("label", {}, "Day", date)),
    el("p", {}, el("label", {}, "Tape and finder, where the shop has several", tool)),
    el("div", {class: "row"}, el("button", {class: "main", type: "submit"}, "Begin"))))
}

// Stops of the walk with what is left at each.
function walking() {
  const every = itemsOf()
  who.only = ""
  main.replaceChildren(el("h1", {}, "The walk"), el("ol", {class: "walk"}, ...FACTS.stops.map((title, stop) => {
    const rows = every.filter(row => row.field.stop === stop)
    const left = rows.reduce((sum, row) => sum + owed(row).length, 0)
    const had = rows.reduce((sum, row) => sum + pathsOf(row).filter(hasValue).length, 0)
    const made = button("", () => go((rows.find(row => owed(row).length) || rows[0]).name))
    made.append(el("span", {}, "Stop " + (stop + 1)), el("span", {}, title),
      el("span", {class: left ? "ask" : "good"}, left ? left + " needed" : had + " taken"))
    return el("li", {}, made)
  })))
}

// Parts, those that need fewest readings first; one chosen leads through what it still needs.
function parting() {
  const every = itemsOf()
  const rows = FACTS.parts.map(part => {
    const own = every.filter(row => part.fields.includes(BY_NAME.get(row.field.name)) && row.field.needed && applies(row.field.when))
    const whole = own.reduce((sum, row) => sum + pathsOf(row).length, 0)
    return {part, whole, left: own.reduce((sum, row) => sum + owed(row).length, 0), first: own.find(row => owed(row).length)}
  }).sort((one, other) => (other.part === FACTS.parts[0]) - (one.part === FACTS.parts[0]) || one.left - other.left)
  main.replaceChildren(el("h1", {}, "Parts, a part at a time"),
    el("p", {class: "small"}, "Choose a part: the form then asks only what that part still needs."),
    el("ul", {class: "parts"}, ...rows.map(row => el("li", {}, partButton(row)))))
}

function partButton({part, whole, left, first}) {
  const made = button("", () => {
    if (!first) return
    who.only = part.title
    go(first.name)
  }, {disabled: !first})
  made.append(el("b", {}, part.code), el("span", {}, part.title, el("progress", {max: whole, value: whole - left, "aria-label": part.title})),
    el("span", {class: left ? "" : "good"}, left ? left + " to go" : "all read"))
  return made
}

// Everything typed, what must be mended first, and the file.
function handing() {
  const every = itemsOf(), wrong = [], asked = []
  let cannot = 0, shots = 0
  for (const row of every) for (const path of pathsOf(row)) {
    if (!ENTRIES.has(path)) continue
    const {bad, ask} = judged(path, row.field)
    if (bad.length) wrong.push([row, path, bad[0]])
    else if (ask.length) asked.push([row, path, ask[0]])
    cannot += entry(path).cannot ? 1 : 0
    shots += entry(path).photos
  }
  const listed = (title, rows, look) => rows.length ? [el("h2", {class: look}, title), ...rows.map(([row, path, says]) =>
    el("div", {class: "row list"}, button(row.field.code + " " + row.field.title + (row.row ? " " + row.row : "") + (row.field.sided ? ", " + path.split(".").pop() : "") + ": " + says, () => { who.only = ""; go(row.name) })))] : []
  const told = el("p", {id: "handed", role: "status"})
  main.replaceChildren(el("h1", {}, "Hand back"),
    el("p", {}, ENTRIES.size + " new here, " + cannot + " of them cannot be measured, " + shots + " photos."),
    ...listed("Mend these first", wrong, "bad"), ...listed("Is this so?", asked, "ask"),
    el("div", {class: "row"}, button("Save the file", () => handed(told), {class: "main", disabled: wrong.length > 0 || !ENTRIES.size})),
    told,
    el("p", {class: "small"}, "Bring the file to the shop's computer and take it in there beside the job. It stays here too until you clear it."),
    el("h2", {}, "Go on from a file"),
    el("p", {class: "small"}, "Another phone's file, or one from an older form of this truck."),
    el("div", {class: "row"}, el("label", {class: "file"}, "Choose the file", el("input", {type: "file", accept: ".json,application/json", onchange: event => goneOn(event.target, told)}))),
    el("h2", {}, "Clear this phone"),
    el("div", {class: "row"}, button("Clear what was typed", event => cleared(event.target))))
}

async function handed(told) {
  const rows = []
  for (const row of itemsOf()) for (const path of pathsOf(row)) {
    if (!ENTRIES.has(path)) continue
    const own = entry(path), known = FACTS.known[path] || "", made = {path, code: row.field.code, by: own.by, date: own.date, was: own.was === undefined ? known : own.was}
    if (own.sent) made.sent = own.sent
    if (own.with) made.with = own.with
    if (own.value.trim() && own.value !== known) made.value = numeric(row.field) ? withUnit(own.value, row.field.kind) : own.value.trim()
    else if (own.again.trim()) made.value = withUnit(known, row.field.kind)
    if (own.again.trim()) made.again = [withUnit(own.again, row.field.kind)]
    for (const what of ["state", "cannot", "remark"]) if (own[what].trim()) made[what] = own[what].trim()
    if (own.photos) made.photos = await photosOf(path)
    if (made.value) {
      ENTRIES.set(path, {...own, sent: made.value})
      keep("at " + path, ENTRIES.get(path))
    }
    rows.push(made)
  }
  const text = JSON.stringify({"soapstone form": FACTS.form, chassis: FACTS.chassis, by: who.by, date: who.date, readings: rows}, null, 1)
  const link = el("a", {href: URL.createObjectURL(new Blob([text], {type: "application/json"})), download: FACTS.chassis + "-readings.json"})
  link.click()
  told.textContent = "Saved as " + link.download + ", " + rows.length + " readings, " + Math.ceil(text.length / 1e3) + " kB."
  told.className = "good"
}

// Readings of a handed-back file where nothing else was typed here; photos with them.
async function goneOn(input, told) {
  let file
  try {
    file = JSON.parse(await input.files[0].text())
  } catch (error) { file = null }
  told.className = "bad"
  if (!file || !("soapstone form" in file) || !Array.isArray(file.readings)) { told.textContent = "This is not a file that the form saved."; return }
  if (file.chassis !== FACTS.chassis) { told.textContent = "This file is of another truck: " + String(file.chassis).slice(0, 24) + "."; return }
  let came = 0, stayed = 0
  const paths = new Map()
  for (const row of file.readings) {
    const item = FACTS.fields[BY_NAME.get(String(row.path).replace(/\.\d+\./, ".*.").replace(/\.(left|right)$/, ""))]
    if (!item || item.code !== row.code || ENTRIES.has(row.path) || paths.has(row.path)) { stayed += 1; continue }
    paths.set(row.path, 1)
    const text = what => typeof row[what] === "string" ? row[what] : ""
    const list = Array.isArray(row.photos) ? row.photos.filter(one => /^data:image\/jpeg;base64,[A-Za-z0-9+/=]+$/.test(one)) : []
    if (list.length) await keepPhotos(row.path, list)
    change(row.path, {value: text("value") || entry(row.path).value, again: Array.isArray(row.again) ? String(row.again[0] || "") : "", state: text("state"),
      by: text("by"), date: text("date"), with: text("with"), cannot: text("cannot"), remark: text("remark"), photos: list.length, was: text("was"), sent: text("sent")})
    came += 1
  }
  render()
  const now = document.getElementById("handed")
  now.textContent = came + " taken over, " + stayed + " left as they are here."
  now.className = "good"
}

async function cleared(made) {
  if (made.dataset.sure === undefined) {
    made.dataset.sure = ""
    made.textContent = "Sure? Press again: everything typed here goes"
    return
  }
  for (const path of [...ENTRIES.keys()]) {
    if (entry(path).photos) await keepPhotos(path, [])
    keep("at " + path, null)
  }
  ENTRIES.clear()
  keep("rows", null)
  render()
}

// Another window of this form: what is typed there stands here at once.
window.addEventListener("storage", event => {
  if (event.key === null || !event.key.startsWith(PLACE + "at ")) { if (event.key === null) location.reload(); return }
  const path = event.key.slice(PLACE.length + 3)
  if (event.newValue === null) ENTRIES.delete(path)
  else ENTRIES.set(path, {...FRESH, ...JSON.parse(event.newValue)})
  const shown = who.page === "read" && [...main.querySelectorAll(".box-in")].filter(box => box.dataset.path === path)
  if (shown && shown.length) {
    for (const box of shown) box.value = entry(path)[box.dataset.which]
    tell(item()[0])
  }
  counted()
})

for (const page in PAGES) document.getElementById(PAGES[page]).addEventListener("click", () => page === "read" ? go(who.at) : show(page))
keep("opened", {at: today()})
render()
