// The site changed on the page while the host runs: file, log book, and the host itself with a real broker.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Phase, TestKind } from '../../../firmware/contract/codes';
import type { SettingsMessage, StateMessage } from '../../../firmware/contract/messages';
import type { Change, SiteFileView, SiteOutcome } from '../../../host/api/site';
import type { BuildingView, LogbookView, LuminaireHistory } from '../../../host/api/views';
import { signMessage } from '../../../host/keys';
import { type Lasting, serveLasting } from '../../../host/serve/lasting';
import { type ServeOptions, serve } from '../../../host/serve/serve';
import { loadSite } from '../../../host/site/load';
import { KEYS, newJournal, resultFields } from '../logbook/records';
import { SMALL } from '../site/small';

const ADDRESS = 'mill/one';
const NOW_SEC = 1770000000;
const NOTED = SMALL.replace('    luminaires:', '    # In the order of the terminals.\n    luminaires:');

let folder: string;
let file: string;
let host: Lasting | undefined;
let controller: MqttClient | undefined;
let settings: SettingsMessage[];
let kinds: string[];
let up = 0;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-site-edit-'));
  file = join(folder, 'mill.yaml');
  writeFileSync(file, NOTED);
  [settings, kinds] = [[], []];
});
afterEach(async () => {
  controller?.end(true);
  await host?.stop();
  host = undefined;
  rmSync(folder, { recursive: true, force: true });
});

function options(): ServeOptions {
  const loaded = loadSite(file);
  if ('mistakes' in loaded) throw new Error('The site file has mistakes.');
  return {
    ...{ site: loaded.site, siteFile: file, db: join(folder, 'log.db'), port: 0, brokerPort: 0 },
    ...{ keys: KEYS, clock: { nowMs: () => NOW_SEC * 1000 }, quiet: true },
  };
}

async function start(): Promise<void> {
  host = await serveLasting(options());
}

async function ask<T>(path: string): Promise<T> {
  return (await (await fetch(`${host?.served().url}${path}`)).json()) as T;
}

async function change(revision: string, ...changes: Change[]): Promise<[number, SiteOutcome]> {
  const answer = await fetch(`${host?.served().url}/api/site`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ revision, who: 'Ada Vail', changes }),
  });
  return [answer.status, (await answer.json()) as SiteOutcome];
}

const set = (id: string, field: string, value: unknown): Change => ({
  ...{ do: 'set', part: 'luminaires', id, field, value },
});

async function joinBroker(): Promise<MqttClient> {
  const client = await mqtt.connectAsync(host?.served().brokerUrl ?? '', {
    ...{ clientId: 'mill.one', protocolVersion: 4, reconnectPeriod: 200 },
  });
  controller = client;
  client.on('message', (topic, payload) => {
    kinds.push(topic.split('/')[3]);
    if (topic.endsWith('/settings')) settings.push(JSON.parse(payload.toString()) as SettingsMessage);
  });
  await client.subscribeAsync(
    ['plan', 'settings', 'ack', 'time'].map((kind) => `nightproof/${ADDRESS}/${kind}`),
  );
  return client;
}

function sendState(client: MqttClient, more: Partial<StateMessage> = {}): void {
  up++;
  const state = {
    ...{ v: 1, journal: '0a1b2c3d', boot: 1, up, utc: NOW_SEC, clock: 2, phase: 1, reason: 0, waiting: 0 },
    ...{ bits: 3, test: 0, type: 0, since: 0, charged: 0, last: 0, acked: 0, settings: 0, plan: 0 },
    ...{ overdue: 0, refused: 0 },
    ...more,
  } satisfies StateMessage;
  client.publish(`nightproof/${ADDRESS}/state`, signMessage(KEYS, ADDRESS, 'state', state), { qos: 1 });
}

it('takes a change from the page to file, log book and controller, and keeps its results', async () => {
  await start();
  const client = await joinBroker();
  await expect
    .poll(() => {
      sendState(client);
      return settings.length;
    })
    .toBeGreaterThan(0);
  const [before] = settings;
  const body = newJournal(ADDRESS).next(
    'result',
    resultFields(
      [
        [1, 0, 60, 300, 300, 290, 2],
        [2, 0, 60, 300, 300, 290, 2],
      ],
      { settings: before.revision },
    ),
  );
  client.publish(`nightproof/${ADDRESS}/record`, body, { qos: 1 });
  await expect.poll(() => kinds).toContain('ack');
  const view = await ask<SiteFileView>('/api/site');
  expect(view).toMatchObject({ fixed: '', file: 'mill.yaml', inForce: true });
  const [status, outcome] = await change(
    view.revision,
    set('A-2', 'batteryMilliamps', 160),
    { do: 'rename', part: 'luminaires', id: 'A-2', to: 'L-2' },
    { do: 'set', part: 'luminaires', id: 'L-2', field: 'place', value: 'Ladder to the loft' },
  );
  expect([status, outcome]).toMatchObject([200, { ok: true }]);
  expect(readFileSync(file, 'utf8')).toBe(
    NOTED.replace(
      '{ id: A-2, place: Ladder,',
      '{ id: L-2, formerly: [A-2], place: Ladder to the loft,',
    ).replace('150,', '160,'),
  );
  expect(readFileSync(`${file}.before`, 'utf8')).toBe(NOTED);
  await expect
    .poll(async () => (await ask<SiteFileView>('/api/site').catch(() => undefined))?.inForce)
    .toBe(true);
  const { circuits } = await ask<BuildingView>('/api/building');
  expect(circuits[0].luminaires[1]).toMatchObject({
    id: 'L-2',
    place: 'Ladder to the loft',
    batteryMilliamps: 160,
  });
  // The controller still has the old settings, and comes back to the same broker by itself.
  await expect
    .poll(() => {
      if (client.connected) sendState(client, { settings: before.revision });
      return settings[settings.length - 1].revision;
    })
    .toBeGreaterThan(before.revision);
  expect(JSON.stringify(settings[settings.length - 1])).toContain('160');
  expect((await ask<LuminaireHistory>('/api/luminaires/L-2')).results).toHaveLength(1);
  const { entries } = await ask<LogbookView>('/api/logbook?kind=site');
  expect(entries.map(({ text }) => text)).toEqual([
    'Ada Vail changed the site: luminaire A-2: batteryMilliamps from 150 to 160; luminaire A-2: id from A-2 to L-2; luminaire L-2: place from Ladder to Ladder to the loft.',
  ]);
});

describe('nothing is saved', () => {
  const unchanged = async () => {
    expect(readFileSync(file, 'utf8')).toBe(NOTED);
    expect(existsSync(`${file}.before`)).toBe(false);
    expect((await ask<LogbookView>('/api/logbook?kind=site')).entries).toEqual([]);
  };

  it('where the checks find a mistake, which is told with its place', async () => {
    await start();
    const { revision } = await ask<SiteFileView>('/api/site');
    const [status, outcome] = await change(revision, set('A-2', 'batteryMilliamps', 0));
    expect(status).toBe(400);
    const message =
      'must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is 0.';
    expect(outcome).toMatchObject({
      ...{ ok: false, mistakes: [{ part: 'luminaires', id: 'A-2', field: 'batteryMilliamps', message }] },
      answer: `Nothing was saved. circuits[one].luminaires[A-2].batteryMilliamps: ${message}`,
    });
    expect(await change(revision, set('A-2', 'id', 'x'))).toMatchObject([400, { ok: false }]);
    const id: Change = { do: 'set', part: 'site', id: '', field: 'id', value: 'other' };
    expect((await change(revision, id))[1].answer).toBe(
      '"id" cannot be changed here; change it in the file, and start the host again.',
    );
    expect((await change(revision, set('A-2', 'place', 'Ladder')))[1].answer).toBe('Nothing was changed.');
    expect((await change(revision))[1].answer).toContain('A change of the site needs');
    await unchanged();
  });

  it('where the file was edited by hand in between', async () => {
    await start();
    const { revision } = await ask<SiteFileView>('/api/site');
    writeFileSync(file, `${NOTED}# Seen.\n`);
    const [status, outcome] = await change(revision, set('A-2', 'batteryMilliamps', 160));
    expect([status, outcome]).toMatchObject([409, { ok: false, stale: true }]);
    expect(outcome.answer).toContain('has been changed since you opened it');
    expect((await ask<SiteFileView>('/api/site')).inForce).toBe(false);
    writeFileSync(file, NOTED);
    await unchanged();
  });

  it('while a test runs on a circuit that would be judged in another way', async () => {
    await start();
    const client = await joinBroker();
    const { revision } = await ask<SiteFileView>('/api/site');
    const testing = { phase: Phase.Full, type: TestKind.Full, test: 7, since: NOW_SEC };
    await expect
      .poll(async () => {
        sendState(client, testing);
        return (await change(revision, set('A-2', 'batteryMilliamps', 0)))[1].answer;
      })
      .toContain('must be');
    await expect
      .poll(async () => {
        sendState(client, testing);
        return host?.served().house.view.controller('one', NOW_SEC).kind;
      })
      .toBe('full');
    const [status, outcome] = await change(revision, set('A-2', 'batteryMilliamps', 160));
    expect([status, outcome.answer]).toEqual([
      409,
      'Nothing was saved: a test is running on circuit one, which this changes. Save it when the test is over.',
    ]);
    await unchanged();
    // Its place says nothing about the test.
    expect((await change(revision, set('A-2', 'place', 'Loft')))[0]).toBe(200);
  });

  it('by a host whose site is fixed', async () => {
    const fixed = await serve(options());
    host = { served: () => fixed, failed: new Promise(() => {}), stop: () => fixed.stop() };
    const view = await ask<SiteFileView>('/api/site');
    expect(view.fixed).toBe('This host was started with a site that stays as it is.');
    expect((await change(view.revision, set('A-2', 'place', 'Loft')))[1].answer).toBe(view.fixed);
    await unchanged();
  });
});

it('answers others while it checks a change of a large site, and names how many changes are too many', async () => {
  const place = 'a lamp of which there is much to say '.repeat(2).trim();
  const large = Array.from({ length: 30 }, (_, c) => {
    const lamps = Array.from(
      { length: 10 },
      (_lamp, i) =>
        `      - { id: C${c}-${i}, place: ${place}, area: hall, mode: non-maintained, batteryMilliamps: 90 }\n`,
    );
    const rest =
      '    ratedMinutes: 60\n    chemistry: NiMH\n    batteryFitted: 2025-01-02\n    luminaires:\n';
    return `  - id: c-${c}\n    name: C\n    floor: ground\n${rest}${lamps.join('')}`;
  });
  writeFileSync(file, NOTED + large.join(''));
  await start();
  const { revision } = await ask<SiteFileView>('/api/site');
  const many = Array.from({ length: 3001 }, () => set('A-2', 'place', 'Loft'));
  expect(await change(revision, ...many)).toMatchObject([
    413,
    {
      answer:
        'Nothing was saved: these are 3001 changes, and at most 3000 are saved at once; save some of them first.',
    },
  ]);
  let turns = 0;
  let isOver = false;
  const turn = () => {
    turns++;
    if (!isOver) setImmediate(turn);
  };
  setImmediate(turn);
  const saved = change(revision, set('C29-9', 'place', 'Attic')).then((answer) => {
    isOver = true;
    return answer;
  });
  const [status] = await saved;
  expect(status).toBe(200);
  // A host that did it itself would turn only for the request and the disk.
  expect(turns).toBeGreaterThan(100);
  expect(readFileSync(file, 'utf8')).toContain('{ id: C29-9, place: Attic,');
});

it('enters at the next start, once, what was changed in the file by hand', async () => {
  const texts = async () =>
    (await ask<LogbookView>('/api/logbook?kind=site')).entries.map(({ text }) => text);
  const restart = async (text: string) => {
    await host?.stop();
    writeFileSync(file, text);
    await start();
    return texts();
  };
  expect(await restart(NOTED)).toEqual([]);
  expect(await restart(`${NOTED}# Seen.\n`)).toEqual([]);
  const moved = NOTED.replace('area: loft, mode', 'area: hall, mode').replace(
    'area: hall, mode: maintained',
    'area: hall, serves: [hall, loft], mode: maintained',
  );
  const found =
    'Nightproof host found the site file changed by hand: luminaire A-1: serves is now [hall, loft]; luminaire A-2: area from loft to hall.';
  expect(await restart(moved)).toEqual([found]);
  expect(await restart(moved)).toEqual([found]);
  // A walk past the loft has not seen it in the hall.
  const { inspections } = (host as Lasting).served().house.past;
  expect(inspections.presentSince('A-2', 'area hall')).toBe(NOW_SEC);
  expect(inspections.presentSince('A-1', 'area hall')).toBe(0);
  const { revision } = await ask<SiteFileView>('/api/site');
  expect((await change(revision, set('A-2', 'place', 'Loft')))[0]).toBe(200);
  await expect
    .poll(async () => (await ask<SiteFileView>('/api/site').catch(() => undefined))?.inForce)
    .toBe(true);
  const page = 'Ada Vail changed the site: luminaire A-2: place from Ladder to Loft.';
  expect(await texts()).toEqual([page, found]);
  expect(await restart(moved)).toEqual([
    'Nightproof host found the site file changed by hand: luminaire A-2: place from Loft to Ladder.',
    ...[page, found],
  ]);
});

describe('killed while it saves', () => {
  const die = (when: string) => {
    const script = join(import.meta.dirname, 'dyingDoor.ts');
    const { signal } = spawnSync(process.execPath, [
      '--import',
      'tsx',
      script,
      file,
      join(folder, 'log.db'),
      when,
    ]);
    expect(signal).toBe('SIGKILL');
  };
  const entries = async () =>
    (await ask<LogbookView>('/api/logbook?kind=site')).entries.map(({ text }) => text);

  it('after the file was replaced, the host makes up for the entry, once', async () => {
    die('before the entry');
    expect(readFileSync(file, 'utf8')).toBe(NOTED.replace('place: Ladder', 'place: Loft'));
    const entry = 'Ada Vail changed the site: luminaire A-2: place from Ladder to Loft.';
    for (let run = 0; run < 2; run++) {
      await start();
      expect(await entries()).toEqual([entry]);
      await host?.stop();
      host = undefined;
    }
  });

  it.each(['before the entry', 'after the entry'])(
    '%s, and the file edited: each change has its author, once',
    async (when) => {
      die(when);
      writeFileSync(file, `${readFileSync(file, 'utf8')}noTestDates: [2026-12-24]\n`);
      await start();
      expect(await entries()).toEqual([
        'Nightproof host found the site file changed by hand: site: noTestDates is now [2026-12-24].',
        'Ada Vail changed the site: luminaire A-2: place from Ladder to Loft.',
      ]);
    },
  );

  it('after the entry, and the file put back: that is a change by hand', async () => {
    die('after the entry');
    writeFileSync(file, NOTED);
    await start();
    expect(await entries()).toEqual([
      'Nightproof host found the site file changed by hand: luminaire A-2: place from Loft to Ladder.',
      'Ada Vail changed the site: luminaire A-2: place from Ladder to Loft.',
    ]);
  });

  it('before the file was replaced, the host forgets the change', async () => {
    die('before the file');
    expect(readFileSync(file, 'utf8')).toBe(NOTED);
    await start();
    expect(await entries()).toEqual([]);
  });
});
