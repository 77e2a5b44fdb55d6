// Searching, folding, and opening everything for paper.
(() => {
  const at = id => document.getElementById(id), field = at("find"), told = at("found"), all = at("open-all")
  const folds = [...document.querySelectorAll("main details.fold")], sections = folds.filter(fold => fold.id)
  const counts = new Map(folds.map(fold => [fold, fold.querySelector(":scope > summary .count")]).filter(([, count]) => count).map(([fold, count]) => [fold, [count, count.textContent]]))
  const hits = [...document.querySelectorAll(".hit")]
  let words = null, before = null

  // What a row is found by: what it says but for buttons, files and reasons, and its ids in full.
  function read() {
    words = hits.map(hit => {
      const own = [...hit.children].filter(part => !part.matches("svg, .why, .acts")).map(part => part.textContent)
      const text = (own.join(" ") + " " + (hit.dataset.also || "")).toLowerCase()
      return [text, new Set(text.split(/[^\w.#\/-]+/).map(word => word.replace(/\.$/, "")))]
    })
  }
  // A number finds the thing that bears it, not every number that begins alike, if there is one.
  function wanted(word) {
    const number = /^[a-z]{1,2}-?\d+([.][lrc])?$/.test(word)
    if (number && words.some(([, own]) => own.has(word))) return ([, own]) => own.has(word)
    return ([text]) => text.includes(word)
  }
  function show(found) {
    const many = found.filter(Boolean).length
    hits.forEach((hit, i) => { hit.hidden = !found[i] })
    for (const fold of folds) {
      const own = [...fold.querySelectorAll(".hit")], left = own.filter(hit => !hit.hidden).length
      fold.hidden = !left
      fold.open = Boolean(left) && (many <= 80 || Boolean(fold.id))
      if (counts.has(fold)) counts.get(fold)[0].textContent = left + " of " + own.length
    }
    const by = sections.filter(fold => !fold.hidden).map(fold => fold.querySelectorAll(".hit:not([hidden])").length + " under " + fold.querySelector("h2").textContent.split(",")[0])
    told.textContent = many ? many + " found: " + by.join(", ") : "Nothing found. Try a number as it is on the steel, such as CM2, a weld such as W12, a bolt such as B7, or a word such as gusset."
  }
  function whole() {
    hits.forEach(hit => { hit.hidden = false })
    folds.forEach(fold => { fold.hidden = false; fold.open = before.get(fold) })
    counts.forEach(([count, text]) => { count.textContent = text })
    before = null
    told.textContent = ""
  }
  function search() {
    const typed = field.value.toLowerCase().split(/[\s,]+/).filter(Boolean)
    document.body.classList.remove("seeing")
    document.body.classList.toggle("searching", Boolean(typed.length))
    if (!typed.length) { if (before) whole(); return }
    if (!words) read()
    before = before || new Map(folds.map(fold => [fold, fold.open]))
    const tests = typed.map(wanted)
    show(words.map(word => tests.every(test => test(word))))
  }
  field.addEventListener("input", search)
  field.addEventListener("keydown", event => {
    if (event.key === "Escape") { field.value = ""; search() }
    if (event.key !== "Enter" && event.key !== "ArrowDown") return
    const first = before && hits.find(hit => hit.checkVisibility ? hit.checkVisibility() : hit.offsetParent)
    if (first) { event.preventDefault(); first.tabIndex = -1; first.focus() }
  })
  all.addEventListener("click", () => {
    const open = all.getAttribute("aria-pressed") !== "true"
    all.setAttribute("aria-pressed", open)
    all.textContent = open ? "fold all" : "open all"
    folds.forEach(fold => { fold.open = open })
  })
  let folded = []
  addEventListener("beforeprint", () => { folded = [...folds, document.getElementById("first")].filter(fold => fold && !fold.open); folded.forEach(fold => { fold.open = true }) })
  addEventListener("afterprint", () => { folded.forEach(fold => { fold.open = false }); folded = [] })
})()
