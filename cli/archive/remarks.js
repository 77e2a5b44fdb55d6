// Remarks on a revision: kept in the page until saved as one file for the shop; nothing is sent.
(() => {
  const own = JSON.parse(document.getElementById("remarked").textContent), at = id => document.getElementById("remark-" + id)
  const kept = []
  const tell = text => { at("told").textContent = text }
  const show = () => {
    at("list").replaceChildren(...kept.map((row, place) => {
      const line = document.createElement("li"), drop = document.createElement("button")
      line.textContent = row.about + ": " + row.remark + " (" + row.by + ", " + row.date + ") "
      drop.textContent = "Take out"
      drop.addEventListener("click", () => { kept.splice(place, 1); show() })
      line.append(drop)
      return line
    }))
    at("save").disabled = !kept.length
  }
  at("add").addEventListener("click", () => {
    const row = {about: at("about").value, remark: at("text").value.trim().replace(/\s+/g, " "), by: at("by").value.trim(), date: at("date").value}
    const missing = [[!row.remark, "what you remark"], [row.by.length < 2, "your name"], [!row.date, "the day"]].filter(([is]) => is).map(([, what]) => what)
    if (missing.length) return tell("Still missing: " + missing.join(", ") + ".")
    if (/[<>]/.test(row.remark + row.by)) return tell("Leave out < and >.")
    if (kept.some(each => each.about === row.about && each.remark === row.remark)) return tell("This remark is in the list already.")
    kept.push(row)
    at("text").value = ""
    tell("In the list, not saved yet.")
    show()
  })
  at("save").addEventListener("click", () => {
    const link = document.createElement("a")
    link.href = URL.createObjectURL(new Blob([JSON.stringify({...own, remarks: kept}, null, 1)], {type: "application/json"}))
    link.download = own.chassis + "-" + own.letter + "-remarks.json"
    link.click()
    tell("Saved as " + link.download + ": send that file to the shop.")
  })
  addEventListener("beforeunload", event => { if (kept.length && !at("told").textContent.startsWith("Saved")) event.preventDefault() })
  show()
})()
