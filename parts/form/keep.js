// What was typed stays on the phone: words in localStorage, one key a reading, so that two windows never
// write over each other; photos in a database of the browser.
const PLACE = "soapstone form " + FACTS.chassis + " "
let keeps = true

function keep(name, entry) {
  try {
    if (entry === null) localStorage.removeItem(PLACE + name)
    else localStorage.setItem(PLACE + name, JSON.stringify(entry))
  } catch (error) { lost() }
}

function kept(name) {
  try {
    return JSON.parse(localStorage.getItem(PLACE + name) || "null")
  } catch (error) { lost(); return null }
}

function keptPaths() {
  try {
    return Object.keys(localStorage).filter(key => key.startsWith(PLACE + "at ")).map(key => key.slice(PLACE.length + 3))
  } catch (error) { lost(); return [] }
}

function lost() {
  keeps = false
  alarm("This browser keeps nothing: hand back before you close this window, or open the form in another browser.")
}

let base = null
function photos() {
  base = base || new Promise((done, failed) => {
    const opened = indexedDB.open("soapstone form photos", 1)
    opened.onupgradeneeded = () => opened.result.createObjectStore("photos")
    opened.onsuccess = () => done(opened.result)
    opened.onerror = () => failed(opened.error)
  })
  return base
}

async function asked(mode, what) {
  const store = (await photos()).transaction("photos", mode).objectStore("photos")
  return new Promise((done, failed) => {
    const request = what(store)
    request.onsuccess = () => done(request.result)
    request.onerror = () => failed(request.error)
  })
}

const photoKey = path => FACTS.chassis + " " + path
const photosOf = async path => (await asked("readonly", store => store.get(photoKey(path)))) || []
const keepPhotos = (path, list) => asked("readwrite", store => list.length ? store.put(list, photoKey(path)) : store.delete(photoKey(path)))

// A photo scaled down through a canvas, which keeps the picture and nothing else: no place, no date, no maker.
const LONGEST = 1600
async function scaled(file) {
  if (file.size > 40e6) throw new Error("This photo is " + Math.round(file.size / 1e6) + " MB; up to 40 MB: take it again at a lower setting.")
  let picture
  try {
    picture = await createImageBitmap(file)
  } catch (error) {
    throw new Error("This is not a photo the browser can read: take it with the camera, or choose a JPEG.")
  }
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height))
  const canvas = document.createElement("canvas")
  canvas.width = Math.max(1, Math.round(picture.width * scale))
  canvas.height = Math.max(1, Math.round(picture.height * scale))
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height)
  picture.close()
  return canvas.toDataURL("image/jpeg", 0.8)
}
