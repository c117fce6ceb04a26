// Every page: no serious finding of accessibility, nothing sticks out on a phone, and pictures for people to look at.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { accessible, browser, fits, open, PHONE, picture, WIDE } from './browser.mjs';
import { service } from './service.mjs';

let home;
let chrome;

before(async () => {
  [home, chrome] = await Promise.all([service({ demo: true }), browser()]);
});

after(async () => {
  await chrome?.close();
  await home?.end();
});

/** The first link of a page that fits. */
async function linked(page, where, selector) {
  await page.goto(home.address + where);
  return page.locator(selector).first().getAttribute('href');
}

async function everyPage(page) {
  // The list is worked in in the background right after the start.
  await page.goto(home.address);
  for (let n = 0; n < 100 && await page.locator('table.sites tbody tr').count() < 3; n += 1) {
    await page.waitForTimeout(100);
    await page.reload();
  }
  const site = await linked(page, '/', 'table.sites a');
  const held = await linked(page, '/held', 'td a, th a');
  const original = await linked(page, '/documents', 'th a');
  const guide = await linked(page, '/guides', 'th a');
  return {
    sites: '/', site, plan: `${site}/plan`, held: '/held', reading: held, documents: '/documents', document: original,
    season: '/season', guides: '/guides', guide, service: '/service', 'no-such': '/nothing-here',
  };
}

for (const [look, options] of Object.entries({
  wide: { viewport: WIDE },
  phone: { viewport: PHONE, isMobile: true, hasTouch: true },
  dark: { viewport: WIDE, colorScheme: 'dark' },
})) {
  test(`every page is in order, ${look}`, async () => {
    const errors = [];
    const context = await chrome.newContext(options);
    const page = await open(context, errors);
    for (const [name, address] of Object.entries(await everyPage(page))) {
      await page.goto(home.address + address);
      assert.equal(await page.locator('h1').count(), 1, name);
      await accessible(page, `${name}, ${look}`);
      if (look === 'phone') await fits(page, name);
      await picture(page, `${name}-${look}`);
    }
    assert.deepEqual(errors, []);
    await context.close();
  });
}

test('the door to guarded pages is in order, and a word opens it', async () => {
  const guarded = await service({ password: 'a long enough word' });
  const errors = [];
  const context = await chrome.newContext({ viewport: PHONE, isMobile: true, hasTouch: true });
  try {
    const page = await open(context, errors);
    await page.goto(guarded.address);
    assert.match(page.url(), /\/login/);
    await accessible(page, 'login');
    await fits(page, 'login');
    await picture(page, 'login-phone');
    await page.locator('input[type=password]').fill('a wrong long word');
    await Promise.all([page.waitForEvent('load'), page.keyboard.press('Enter')]);
    await accessible(page, 'login refused');
    assert.match(page.url(), /\/login/);
    await page.locator('input[type=password]').fill('a long enough word');
    await page.keyboard.press('Enter');
    await page.waitForURL((url) => !url.pathname.startsWith('/login'));
    assert.equal(await page.locator('h1').count(), 1);
    assert.deepEqual(errors, []);
  } finally {
    await context.close();
    await guarded.end();
  }
});

test('the letter is in order', async () => {
  const context = await chrome.newContext({ viewport: WIDE });
  const page = await open(context, []);
  const site = await linked(page, '/', 'table.sites a');
  const letter = await context.request.get(`${home.address}${site}/letter`);
  // Its own policy lets no script run, so its words are laid out on a page that does.
  await page.setContent(await letter.text());
  assert.equal(await page.locator('h1').count(), 1);
  await accessible(page, 'letter');
  await context.close();
});

test('a page of twice the size still fits, and paper shows no buttons', async () => {
  const errors = [];
  // 1280 at 200 % is as wide as 640.
  const context = await chrome.newContext({ viewport: { width: 640, height: 450 } });
  const page = await open(context, errors);
  const pages = await everyPage(page);
  for (const [name, address] of Object.entries(pages)) {
    await page.goto(home.address + address);
    await fits(page, `${name} at 200 %`);
  }
  await page.setViewportSize({ width: 794, height: 1123 });
  await page.emulateMedia({ media: 'print' });
  for (const name of ['sites', 'site', 'plan', 'season', 'held', 'reading']) {
    await page.goto(home.address + pages[name]);
    assert.equal(await page.locator('button:visible').count(), 0, name);
    await picture(page, `${name}-print`);
  }
  await page.goto(`${home.address}${pages.site}/letter`);
  await picture(page, 'letter-print');
  assert.deepEqual(errors, []);
  await context.close();
});

test('everything works without scripts', async () => {
  const context = await chrome.newContext({ viewport: WIDE, javaScriptEnabled: false });
  const page = await context.newPage();
  await page.goto(`${home.address}/held`);
  await page.locator('th a').first().click();
  await page.getByLabel('Who decides').fill('Robin');
  await page.getByRole('button', { name: /under this name/ }).click();
  await page.getByRole('button', { name: 'Reject' }).click();
  assert.match(await page.locator('#stands ~ p').first().innerText(), /rejected/);
  await page.getByRole('button', { name: /Take back decision/ }).first().click();
  assert.match(await page.locator('h1').innerText(), /in doubt/);
  await context.close();
});
