/* Keeps the emergency pages of this guide on the reader's device. Nothing is sent anywhere. */
if ("serviceWorker" in navigator) {
  const root = new URL("..", document.currentScript.src);
  navigator.serviceWorker.register(new URL("worker.js", root), { scope: root.pathname });
}
