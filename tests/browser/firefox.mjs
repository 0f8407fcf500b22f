// Drives Firefox for test_offline_other_engines.py: one JSON command a line in, one JSON answer out.
import { createInterface } from "node:readline";
import { createRequire } from "node:module";

// The packages lie beside the web sources, not beside the tests.
const require = createRequire(`${process.argv[2]}/web/package.json`);
const { default: puppeteer } = await import(require.resolve("puppeteer-core"));

const browser = await puppeteer.launch({
  browser: "firefox",
  executablePath: process.argv[3],
  userDataDir: process.argv[4],
  headless: true,
  protocolTimeout: 0,
  extraPrefsFirefox: {
    // Nothing of the browser's own asks for a host.
    "app.update.auto": false,
    "browser.safebrowsing.malware.enabled": false,
    "browser.safebrowsing.phishing.enabled": false,
    "datareporting.policy.dataSubmissionEnabled": false,
    "network.captive-portal-service.enabled": false,
    "network.connectivity-service.enabled": false,
    "services.settings.server": "http://127.0.0.1:9/",
  },
});
const [first] = await browser.pages();
const page = first ?? (await browser.newPage());
page.setDefaultTimeout(0);
page.setDefaultNavigationTimeout(0);

const commands = {
  go: ({ url }) => page.goto(url, { waitUntil: "domcontentloaded" }).then(() => null),
  run: ({ code }) => page.evaluate(code),
  close: () => browser.close().then(() => null),
};

for await (const line of createInterface({ input: process.stdin })) {
  const command = JSON.parse(line);
  try {
    const result = await commands[command.do](command);
    console.log(JSON.stringify({ result: result ?? null }));
  } catch (problem) {
    console.log(JSON.stringify({ problem: String(problem) }));
  }
  if (command.do === "close") break;
}
