// Every reading there is to take, and what is wrong with one as soon as it is typed.
const ENTRIES = new Map()
const BY_NAME = new Map(FACTS.fields.map((field, index) => [field.name, index]))
const FRESH = {value: "", again: "", state: "", by: "", date: "", with: "", cannot: "", remark: "", photos: 0}

const entry = path => ENTRIES.get(path) || {...FRESH, value: FACTS.known[path] || ""}
const isSame = (path, row) => row.value === (FACTS.known[path] || "") && !row.again && !row.cannot && !row.remark && !row.photos
const pathsOf = item => item.field.sided ? [item.name + ".left", item.name + ".right"] : [item.name]
const hasValue = path => entry(path).value.trim() !== ""

// Readings in the order of the walk, rows of lists as many as there are or were begun.
function itemsOf() {
  const found = [], seen = new Set()
  FACTS.fields.forEach(field => {
    if (!field.list) { found.push({name: field.name, field, row: 0}); return }
    if (seen.has(field.list)) return
    seen.add(field.list)
    const own = FACTS.fields.filter(other => other.list === field.list)
    for (let row = 1; row <= rowsOf(field.list); row++)
      own.forEach(other => found.push({name: other.name.replace("*", row), field: other, row}))
  })
  return found
}

function rowsOf(list) {
  let most = Math.max(FACTS.lists[list].rows, (kept("rows") || {})[list] || 0)
  for (const path of ENTRIES.keys())
    if (path.startsWith(list + ".")) most = Math.max(most, Number(path.slice(list.length + 1).split(".")[0]) || 0)
  return Math.min(most, FACTS.most.rows)
}

function applies(when) {
  return !when || when.split(" or ").some(one => {
    const [name, word] = one.split("=")
    return word === undefined ? hasValue(name) || hasValue(name + ".left") : entry(name).value === word
  })
}

// Whether a reading is still owed: needed, asked for, not there, and none of those that stand in for it either.
function owed(item) {
  if (!item.field.needed || !applies(item.field.when)) return []
  return pathsOf(item).filter(path => {
    const side = path.slice(item.name.length)
    return !hasValue(path) && !item.field.instead.some(name => hasValue(name + side) || !side && hasValue(name + ".left"))
  })
}

function number(path, field) {
  try { return hasValue(path) ? valued(entry(path).value, field.kind) : null } catch (error) { return null }
}

// Sentences about one reading: what must be mended, and what is only asked.
function judged(path, field) {
  const row = entry(path), bad = [], ask = []
  if (row.value && row.cannot) bad.push("A reading stands here and a reason why there is none: take one away.")
  for (const text of [row.cannot, row.remark, row.by, row.with || ""])
    if (/[<>]/.test(text)) bad.push("Plain words only: leave out < and >.")
  if (!hasValue(path)) return {bad, ask}
  if (field.words.length && !field.words.includes(row.value)) bad.push("Choose one of the words.")
  if (field.kind === "text" && row.value.length > field.high) bad.push("Shorten it: " + field.range + ".")
  if (["word", "text", "date"].includes(field.kind)) return {bad, ask}
  let main = null
  for (const [which, text] of [["", row.value], ["second reading: ", row.again]]) {
    if (!text.trim()) continue
    try {
      const value = valued(text, field.kind)
      main = main === null ? value : main
      if (value < field.low - 1e-9 || value > field.high + 1e-9) bad.push(which + "allowed is " + field.range + "; " + field.remedy + ".")
      else if (which && Math.abs(value - main) > FACTS.slack && field.kind === "length") ask.push("The two readings differ by " + shown(Math.abs(value - main), field.kind) + ": read a third time.")
    } catch (error) { bad.push(which + error.message + ".") }
  }
  if (field.state !== "any" && row.value !== (FACTS.known[path] || "")) {
    if (!row.state) bad.push("Say how the truck stands.")
    else if (field.state !== "said" && row.state !== field.state) bad.push("This is read " + FACTS.states[field.state] + ", and the truck was " + FACTS.states[row.state] + ": read it again there.")
  }
  const job = FACTS.known[path] || ""
  if (row.was !== undefined && ![row.was, row.sent, row.value, withUnit(row.value, field.kind)].includes(job))
    ask.push("The job now says " + (job || "nothing") + ": type yours again if it holds.")
  if (!bad.length) between(path, field, main, bad, ask)
  return {bad, ask}
}

// Against the other side, what it must add up to, and what it must stand before.
function between(path, field, value, bad, ask) {
  const side = /\.(left|right)$/.exec(path)
  if (side && FACTS.apart[field.kind]) {
    const twin = path.slice(0, -side[0].length) + (side[1] === "left" ? ".right" : ".left")
    const other = number(twin, field), apart = other === null ? 0 : Math.abs(other - value)
    if (apart > FACTS.apart[field.kind]) ask.push("Left and right differ by " + shown(apart, field.kind) + ": read both again.")
  }
  const row = /\.(\d+)\./.exec(path)
  for (const closure of FACTS.closures) {
    const own = name => row ? name.replace("*", row[1]) : name
    const every = [closure.path, ...closure.adds, ...closure.less].map(own)
    if (!every.includes(path)) continue
    const read = every.map(name => number(name, FACTS.fields[BY_NAME.get(name.replace(/\.\d+\./, ".*.").replace(/\.(left|right)$/, ""))]))
    if (read.includes(null)) continue
    const total = read.slice(1, 1 + closure.adds.length).reduce((sum, part) => sum + part, 0)
      - read.slice(1 + closure.adds.length).reduce((sum, part) => sum + part, 0)
    if (Math.abs(total - read[0]) > FACTS.slack)
      bad.push(closure.says + " gives " + shown(total, "length") + ", read is " + shown(read[0], "length") + ": " + closure.remedy + ".")
  }
  for (const order of FACTS.orders) {
    const end = side ? side[0] : ""
    if (path !== order.low + end && path !== order.high + end) continue
    const low = number(order.low + end, field), high = number(order.high + end, field)
    if (low !== null && high !== null && low >= high) bad.push("This must be less than " + order.says + ": " + order.remedy + ".")
  }
}
