// What the tests of the page ask of it in the browser.
const seen = {
  size: () => [document.documentElement.scrollHeight, document.documentElement.scrollWidth],
  fold: open => { document.querySelectorAll("details").forEach(each => { each.open = open }) },
  folds: () => [...document.querySelectorAll("details")].map(each => each.open),
  open: () => [...document.querySelectorAll("main > details[open]")].map(each => each.id),
  small: least => [...document.querySelectorAll("a, button, summary, input, select")].filter(at => {
    const box = at.getBoundingClientRect()
    return at.checkVisibility() && Math.min(box.width, box.height) < least
  }).map(at => at.outerHTML.slice(0, 60)),
  // ids and head of what each search leaves in sight, and what is said of it
  search: words => words.map(word => {
    const field = document.getElementById("find")
    field.value = word
    field.dispatchEvent(new Event("input"))
    const hits = [...document.querySelectorAll(".hit")].filter(hit => hit.checkVisibility())
    const heads = hits.map(hit => [hit.dataset.also || "", hit.querySelector("h4, b").textContent])
    return [heads, document.getElementById("found").textContent]
  }),
  // color of every text, and of what is behind it
  inks: () => {
    const color = (look, what) => look[what].match(/[\d.]+/g).map(Number)
    const behind = at => {
      for (let each = at; each; each = each.parentElement) {
        const found = color(getComputedStyle(each), "backgroundColor")
        if (found.length === 3 || found[3] === 1) return found.slice(0, 3)
      }
      return [255, 255, 255]
    }
    const told = at => [...at.childNodes].some(node => node.nodeType === 3 && node.textContent.trim())
    return [...document.querySelectorAll("body *")].filter(at => at.checkVisibility() && told(at)).map(at => {
      const look = getComputedStyle(at)
      return [color(look, at.matches("svg *") ? "fill" : "color").slice(0, 3), behind(at)]
    })
  },
  // where the part at a place is seen: how far right and down its middle, and its pixels
  place: id => {
    document.querySelector(`[data-show="${id}"]`).click()
    const from = document.getElementById("truck"), to = document.createElement("canvas")
    const pen = to.getContext("2d"), w = to.width = from.width, h = to.height = from.height
    pen.drawImage(from, 0, 0)
    const all = pen.getImageData(0, 0, w, h).data
    let x = 0, y = 0, n = 0
    for (let k = 0; k < all.length; k += 4) {
      if (all[k] < all[k + 1] + 20 || all[k] < all[k + 2] + 20) continue
      x += k / 4 % w / w
      y += Math.floor(k / 4 / w) / h
      n++
    }
    return [x / n, y / n, n]
  },
  // how far what is drawn reaches across the canvas, and pixels of made parts and of the truck
  drawn: () => {
    const from = document.getElementById("truck"), to = document.createElement("canvas")
    const pen = to.getContext("2d"), w = to.width = from.width, h = to.height = from.height
    pen.drawImage(from, 0, 0)
    const all = pen.getImageData(0, 0, w, h).data, x = [], y = []
    let made = 0, truck = 0
    for (let k = 0; k < all.length; k += 4) {
      const [r, g, b] = [all[k], all[k + 1], all[k + 2]]
      if (Math.abs(r - all[0]) + Math.abs(g - all[1]) + Math.abs(b - all[2]) < 12) continue
      x.push(k / 4 % w)
      y.push(Math.floor(k / 4 / w))
      if (g > r + 6 && g > b + 6) made++
      else if (Math.abs(r - g) < 12 && r > b + 3) truck++
    }
    const span = own => own.reduce((most, each) => Math.max(most, each), 0) - own.reduce((least, each) => Math.min(least, each), Infinity)
    return {wide: span(x) / w, high: span(y) / h, made, truck}
  },
}
