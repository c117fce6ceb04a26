// A report's way through the pages: dropped, read, settled, seen in chart and flag; then the same by keyboard alone.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { accessible, browser, fits, open, PHONE, picture, WIDE } from './browser.mjs';
import { service } from './service.mjs';

let chrome;

before(async () => { chrome = await browser(); });

after(async () => { await chrome?.close(); });

/** A report of one lawn; `potassium` in 2025 is what a test makes of it. */
function report(season, potassium, name = 'Front lawn') {
  const rows = [
    'Laboratory,Example Soil Room', 'Client,J. Orchard', `Report,R-${season}`, `Date reported,${season}-05-06`, '',
    'Sample ID,Date sampled,pH (1:1 water),Organic matter (LOI) %,Phosphorus (Mehlich-3) ppm,Potassium (Mehlich-3) ppm',
    `${name},${season}-04-20,6.4,3.9,61,${potassium}`, '',
  ];
  return { name: `report ${season}.csv`, mimeType: 'text/csv', buffer: Buffer.from(rows.join('\n')) };
}

/** Looks again until the page says so: the report is read in a process of its own. */
async function until(page, address, what) {
  for (let n = 0; n < 150; n += 1) {
    await page.goto(address);
    if (await what()) return;
    await page.waitForTimeout(200);
  }
  assert.fail(`${address} never came to it: ${await page.locator('main').innerText()}`);
}

const SETTINGS = '[guides]\ndefault = ["turf-mlsn"]\ndefault_use = "lawn"\n';

test('a dropped report arrives, a held number is settled, chart and flag change', async () => {
  const home = await service({ settings: SETTINGS });
  const errors = [];
  const context = await chrome.newContext({ viewport: WIDE });
  const page = await open(context, errors);
  try {
    await page.goto(home.address);
    await page.setInputFiles('#files', [report(2023, '142'), report(2024, '140'), report(2025, '14000')]);
    await page.getByRole('button', { name: 'Put into the inbox' }).click();
    // Live: the line of progress speaks without a reload.
    await page.locator('#progress:visible').waitFor({ timeout: 60_000 });
    await until(page, home.address, async () => await page.locator('table.sites tbody tr').count() === 1);
    await until(page, `${home.address}/documents`, async () => await page.locator('tbody tr').count() === 3);
    assert.match(await page.locator('tbody').innerText(), /held/);

    await page.goto(`${home.address}/held`);
    await page.getByRole('link', { name: /Front lawn, potassium/i }).click();
    assert.match(await page.locator('.doubt').first().innerText(), /\w+/);
    assert.equal(await page.locator('td.framed').innerText(), '14000', 'the printed number is framed');
    const site = `${home.address}/sites/j-orchard-front-lawn`;
    const reading = page.url();
    await page.goto(site);
    const [flags, chart] = [await page.locator('main').innerText(), await page.locator('figure img').first().getAttribute('src')];
    const drawn = await (await page.request.get(home.address + chart)).text();

    await page.goto(reading);
    await page.getByLabel('Who decides').fill('Robin');
    await page.getByRole('button', { name: /under this name/ }).click();
    // An empty or foolish value changes nothing and says what to do.
    await page.getByLabel(/The value instead/).fill('many');
    await page.getByRole('button', { name: 'Correct', exact: true }).click();
    assert.match(await page.locator('h1').innerText(), /no value/);
    await page.goto(reading);
    await page.getByLabel(/The value instead/).fill('14');
    await page.getByRole('button', { name: 'Correct', exact: true }).click();
    assert.match(await page.locator('main').innerText(), /corrected/);
    await picture(page, 'settled-wide');
    await accessible(page, 'a settled reading');

    await page.goto(site);
    const [after_, chartNow] = [await page.locator('main').innerText(), await page.locator('figure img').first().getAttribute('src')];
    assert.notEqual(after_, flags);
    assert.match(after_, /below-sufficiency[^\n]*potassium/i);
    assert.doesNotMatch(flags, /below-sufficiency[^\n]*potassium/i);
    assert.notEqual(chartNow, chart, 'the chart has a new address');
    assert.notEqual(await (await page.request.get(home.address + chartNow)).text(), drawn);
    assert.match(await home.run('flags'), /potassium/i);

    await page.goto(reading);
    await page.getByRole('button', { name: /Take back decision/ }).first().click();
    assert.match(await page.locator('h1').innerText(), /in doubt/);
    await page.goto(site);
    assert.doesNotMatch(await page.locator('main').innerText(), /below-sufficiency[^\n]*potassium/i);
    assert.deepEqual(errors, []);
  } finally {
    await context.close();
    await home.end();
  }
});

/** Goes on with the Tab key until this has the focus. */
async function tabTo(page, locator) {
  for (let n = 0; n < 120; n += 1) {
    if (await locator.evaluate((one) => one === document.activeElement)) {
      const seen = await locator.evaluate((one) => getComputedStyle(one).outlineStyle);
      assert.notEqual(seen, 'none', 'the focus is seen');
      return;
    }
    await page.keyboard.press('Tab');
  }
  assert.fail(`the Tab key never reaches ${locator}`);
}

test('the same by keyboard alone, on a phone', async () => {
  const home = await service({ settings: SETTINGS });
  const errors = [];
  const context = await chrome.newContext({ viewport: PHONE });
  const page = await open(context, errors);
  try {
    await page.goto(home.address);
    await page.keyboard.press('Tab');
    assert.equal(await page.evaluate(() => document.activeElement.textContent), 'To the content');
    await tabTo(page, page.locator('#files'));
    const chooser = page.waitForEvent('filechooser');
    // Whoever waits for it must be heard of before the key is.
    await page.evaluate(() => new Promise((done) => { requestAnimationFrame(() => requestAnimationFrame(done)); }));
    await page.keyboard.press('Enter');
    await (await chooser).setFiles([report(2024, '140'), report(2025, '14000')]);
    await tabTo(page, page.getByRole('button', { name: 'Put into the inbox' }));
    await page.keyboard.press('Enter');
    await page.waitForURL(/dropped=2/);
    assert.match(await page.locator('main').innerText(), /2 files lie in the inbox/);
    await until(page, `${home.address}/held`, async () => await page.locator('.go').count() === 1);
    await fits(page, 'held');
    await tabTo(page, page.locator('.go'));
    await page.keyboard.press('Enter');
    await page.waitForURL(/readings/);
    await fits(page, 'a held reading');
    await tabTo(page, page.getByLabel('Who decides'));
    await page.keyboard.type('Robin');
    await page.keyboard.press('Enter');
    await page.getByText('written down under').waitFor();
    await tabTo(page, page.getByLabel(/The value instead/));
    await page.keyboard.type('140');
    await page.keyboard.press('Enter');
    await page.getByText('corrected').first().waitFor();
    await picture(page, 'settled-phone');
    await fits(page, 'a settled reading');
    assert.match(await home.run('held'), /Nothing waits/);
    assert.deepEqual(errors, []);
  } finally {
    await context.close();
    await home.end();
  }
});
