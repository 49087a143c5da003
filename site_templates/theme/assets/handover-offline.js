/* Keeps the emergency pages of this guide on the reader's device. Nothing is sent anywhere.
   The theme sets __md_scope to the first page of the guide. */
if ("serviceWorker" in navigator) {
  navigator.serviceWorker.register(new URL("worker.js", __md_scope), { scope: __md_scope.pathname });
}
