"use strict"
// What was typed to mm, radians and so on, as the job file is read; the tests hold both together.
const FACTS = JSON.parse(document.getElementById("facts").textContent)
const DENOMINATORS = [2, 3, 4, 6, 8, 10, 12, 16, 32, 64, 100, 128]
const SIGNS = {"′": "'", "’": "'", "‘": "'", "ʹ": "'", "″": '"', "”": '"', "“": '"', "ʺ": '"', "−": "-", "–": "-",
  "‐": "-", "‑": "-", "⁄": "/", "∕": "/", "·": "*", "⋅": "*", "×": "*", "º": "°", "\u00a0": " ", "\u2009": " ", "\u202f": " "}
const VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅙": "1/6", "⅚": "5/6"}
const NUM = "(?:\\d+(?:\\.\\d*)?|\\.\\d+)(?:[eE][+-]?\\d{1,3}(?![\\d.]))?"
const VALUE = "(?:(?:\\d+(?: +|-))?\\d+ *\\/ *\\d+|" + NUM + ")"
const FEET = new RegExp("^(\\d+) *(?:'(?!')|ft\\b|feet\\b|foot\\b) *-? *(" + VALUE + ") *(?:\"|''|in|inch|inches)?$", "i")
const DMS = new RegExp("^(\\d+) *(?:°|deg(?:rees?)?\\b) *(" + VALUE + ") *(?:'(?!')|min\\b) *(?:(" + VALUE + ") *(?:\"|''|sec))?$", "i")
const PLAIN = new RegExp("^(" + VALUE + ") *(.*)$")

function cleaned(text) {
  for (const sign in VULGAR) text = text.split(sign).join(" " + VULGAR[sign])
  return Array.from(text, sign => SIGNS[sign] || sign).join("").trim().replace(/[ \t]+/g, " ")
}

function spelled(unit) {
  const plain = cleaned(unit).toLowerCase().replace(/\.+$/, "").replace(/''/g, '"').replace(/ per /g, "/")
  return plain.replace(/ *\/ */g, "/").replace(/([a-z]) *[-* ] *(?=[a-z])/g, "$1*")
}

function numberOf(text) {
  if (!text.includes("/")) return Number(text)
  const found = /^(?:(\d+)(?: +|-))?(\d+) *\/ *(\d+)$/.exec(text)
  if (!found) throw new Error("this is not a fraction: write it as 23 7/16 or as a decimal")
  const over = Number(found[2]), under = Number(found[3])
  if (found[2].length > 4 || found[3].length > 4 || (found[1] || "").length > 9) throw new Error("too many digits: write it as a decimal")
  if (!DENOMINATORS.includes(under)) throw new Error("no tape is divided in parts of 1/" + under + ": read the fraction again")
  if (found[1] !== undefined && over >= under) throw new Error(found[2] + "/" + found[3] + " after a whole number is not less than one: read it again")
  return Number(found[1] || 0) + over / under
}

function bare(number, kind) {
  if (kind === "count") return number
  return number * factorOf(FACTS.units[kind].header, kind)
}

function factorOf(unit, kind) {
  const found = FACTS.units[kind].factors[spelled(unit)]
  if (found === undefined) throw new Error("no unit " + unit.slice(0, 20) + " of " + FACTS.units[kind].word + ": type it as " + FACTS.units[kind].example)
  return found
}

// Internal value of what was typed; throws a sentence for what is no reading.
function valued(typed, kind) {
  if (typed.length > FACTS.most.text) throw new Error("a reading has at most " + FACTS.most.text + " characters")
  let text = cleaned(typed), sign = 1
  if (text.startsWith("-")) sign = -1
  if (/^[+-]/.test(text)) text = text.slice(1).trim()
  const number = sign * unsigned(text, kind)
  if (!Number.isFinite(number)) throw new Error("this is not a number: read it again")
  return number
}

function unsigned(text, kind) {
  let found = kind === "length" && FEET.exec(text)
  if (found) {
    const inches = numberOf(found[2])
    if (inches >= 12) throw new Error("inches after feet are 12 or more: read the tape again")
    return Number(found[1]) * 304.8 + inches * 25.4
  }
  found = kind === "angle" && DMS.exec(text)
  if (found) {
    const minutes = numberOf(found[2]), seconds = found[3] ? numberOf(found[3]) : 0
    if (Math.max(minutes, seconds) >= 60) throw new Error("minutes or seconds of 60 or more: read the finder again")
    return (Number(found[1]) + minutes / 60 + seconds / 3600) * Math.PI / 180
  }
  found = PLAIN.exec(text)
  if (!found) throw new Error("this is not a number: type it as " + (FACTS.units[kind] || {example: "8.75"}).example)
  const unit = found[2].trim()
  if (!unit) return bare(numberOf(found[1]), kind)
  if (/^[,.;+\-0-9]/.test(unit)) throw new Error("this does not read as one number: a fraction stands after a space")
  if (kind === "count") throw new Error("a plain number: leave the unit out")
  return numberOf(found[1]) * factorOf(unit, kind)
}

function isInch(kind) {
  return kind === "length" && FACTS.units.length.factors[spelled(FACTS.units.length.header)] === 25.4
}

// An internal value in the job's unit: inches in fractions of 1/16 (1/64 where it is less), else decimals.
function shown(value, kind) {
  if (kind === "count") return String(+value.toPrecision(6))
  const unit = FACTS.units[kind].header
  if (!isInch(kind)) return +(value / factorOf(unit, kind)).toFixed(kind === "angle" ? 2 : 1) + " " + unit
  const parts = Math.round(Math.abs(value) / 25.4 * 16)
  if (!parts && Math.abs(value) > 0.1) return (value / 25.4).toFixed(3) + " in"
  let over = parts % 16, under = 16
  while (over && over % 2 === 0) { over /= 2; under /= 2 }
  const whole = Math.floor(parts / 16)
  return (value < 0 && parts ? "-" : "") + (over ? (whole ? whole + " " : "") + over + "/" + under : whole) + " in"
}

// What was typed with the unit a bare number takes, so that it means the same in any file.
function withUnit(typed, kind) {
  if (kind === "count" || !FACTS.units[kind]) return typed
  const text = cleaned(typed)
  return /^[+-]?[\d\s./eE+-]+$/.test(text) ? typed.trim() + " " + FACTS.units[kind].header : typed.trim()
}
