// Reads labels with the camera where the browser can read codes by itself. Without that, nothing is offered.
const AGAIN_AFTER_MS = 2000;
const LOOK_EVERY_MS = 200;

// Shows the part `holder` (a button and a video) when codes can be read here; answers whether they can.
// `read` gets the text of each label, `say` a sentence when the camera may not be used.
export async function offerCamera(holder, read, say) {
  if (!holder || !("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return false;
  const formats = await window.BarcodeDetector.getSupportedFormats();
  if (!formats.includes("qr_code")) return false;
  const button = holder.querySelector("button");
  const video = holder.querySelector("video");
  let stream = null;
  let last = { text: "", at: 0 };
  holder.hidden = false;
  button.addEventListener("click", () => (stream ? stop() : start()));
  window.addEventListener("pagehide", stop);
  return true;

  async function start() {
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch {
      say("The camera may not be used here. Allow it for this page, or type the code.");
      return;
    }
    video.srcObject = stream;
    video.hidden = false;
    button.textContent = "Stop the camera";
    button.setAttribute("aria-pressed", "true");
    await video.play();
    look(new window.BarcodeDetector({ formats: ["qr_code"] }));
  }

  function stop() {
    stream?.getTracks().forEach((track) => track.stop());
    stream = null;
    video.srcObject = null;
    video.hidden = true;
    button.textContent = "Scan with the camera";
    button.setAttribute("aria-pressed", "false");
  }

  async function look(detector) {
    if (!stream) return;
    try {
      for (const { rawValue } of await detector.detect(video)) {
        const now = performance.now();
        if (rawValue !== last.text || now - last.at > AGAIN_AFTER_MS) read(rawValue);
        last = { text: rawValue, at: now };
      }
    } catch {
      // A frame that is not there yet cannot be looked at; the next one can.
    }
    setTimeout(() => look(detector), LOOK_EVERY_MS);
  }
}
