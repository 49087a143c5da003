// Runs Lighthouse as on a throttled telephone over some addresses, in one browser, and prints what it says
// of each as one line of JSON. Arguments: the browser, then the addresses.
import * as chromeLauncher from "chrome-launcher";
import lighthouse from "lighthouse";

const [chromePath, ...addresses] = process.argv.slice(2);
const flags = ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-background-networking"];
const chrome = await chromeLauncher.launch({ chromePath, chromeFlags: flags });
const settings = { port: chrome.port, output: "json", logLevel: "error", onlyCategories: ["performance", "accessibility", "best-practices"] };
try {
  for (const address of addresses) {
    const { lhr } = await lighthouse(address, settings);
    const scores = Object.fromEntries(Object.entries(lhr.categories).map(([name, each]) => [name, Math.round(each.score * 100)]));
    const failed = Object.values(lhr.audits).filter((each) => each.score !== null && each.score < 0.9 && each.scoreDisplayMode !== "informative");
    const bytes = lhr.audits["total-byte-weight"].numericValue;
    const paint = lhr.audits["largest-contentful-paint"].numericValue;
    console.log(JSON.stringify({ address, scores, bytes, paint, failed: failed.map((each) => each.id) }));
  }
} finally {
  await chrome.kill();
}
