// Says when the app's screen is of use: from the tap, in milliseconds.
const useful = JSON.parse(document.currentScript.dataset.useful)[location.hash];
new MutationObserver((_, observer) => {
  if (!document.querySelector(useful)) return;
  observer.disconnect();
  requestAnimationFrame(() =>
    setTimeout(() => {
      const shown = performance.now();
      const [page] = performance.getEntriesByType("navigation");
      const said = { shown, answered: page.responseStart, read: page.domInteractive };
      void fetch("./heard", { method: "POST", body: JSON.stringify(said) });
    }),
  );
}).observe(document, { subtree: true, childList: true });
