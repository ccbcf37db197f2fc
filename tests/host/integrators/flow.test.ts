// The flow in docs/examples, in the flow tool itself: filled in as the document says, on real hosts and brokers.
import { type ChildProcess, fork } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { loginOf } from '../../../host/broker/logins';
import { type KeyRing, openKeys, secretFileOf } from '../../../host/keys';
import { isoLocal } from '../../../host/site/civil';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';
import { NIGHT, PASS } from './house';
import { servedLodge } from './servedLodge';
import { DEAD, testedBroker } from './testedBroker';
import { receiver, type Stage } from './told';

const HOST = 'The host of the emergency lighting';
const LATER = NIGHT + 86400;
const iso = (utcSec: number) => isoLocal(HOUSE.timeZone, utcSec);
/** The fields that docs/integrators.md has people fill in, by the node that has them. */
type Fields = Record<string, Record<string, unknown>>;

let folder: string;
let stage: Stage;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-flow-'));
  stage = { ends: [], problems: [] };
});
afterEach(async () => {
  for (const end of stage.ends.reverse()) await end();
  rmSync(folder, { recursive: true, force: true });
});

/** The flow of the document, with these fields filled in. */
function flowWith(fields: Fields): object[] {
  const flow = JSON.parse(readFileSync('docs/examples/alarm-flow.json', 'utf8')) as { id: string }[];
  for (const id of Object.keys(fields)) expect(flow.map((node) => node.id)).toContain(id);
  return flow.map((node) => ({ ...node, ...fields[node.id] }));
}

/** What gets the flow onto a building's broker. */
function onBroker(url: string, keys: KeyRing, site: string): Fields {
  const { user, password } = loginOf(keys, 'reader-desk');
  const { hostname: broker, port } = new URL(url);
  return {
    'np-broker': { broker, port, clientid: user, credentials: { user, password } },
    'np-luminaires': { topic: `nightproof/${site}/status/luminaire/+` },
    'np-host': { topic: `nightproof/${site}/status/host` },
  };
}

async function start(fields: Fields): Promise<ChildProcess> {
  const program = fileURLToPath(new URL('flowTool.ts', import.meta.url));
  const tool = fork(program, [folder], {
    execArgv: ['--import', 'tsx'],
    stdio: ['ignore', 'pipe', 'pipe', 'ipc'],
  });
  tool.stderr?.on('data', (bytes: Buffer) => stage.problems.push(bytes.toString()));
  stage.ends.push(() => tool.kill('SIGKILL'));
  await new Promise((ready, fail) => {
    tool.once('message', ready);
    tool.once('exit', () => fail(new Error(stage.problems.join(''))));
  });
  tool.send(flowWith(fields));
  return tool;
}

it('tells a failure in words once, after a refusal, and again when the flow tool has been started anew', async () => {
  const busy = await receiver(stage, 0, 503);
  const { broker, test } = await testedBroker(stage);
  await test(NIGHT, PASS, DEAD);
  const fields = {
    ...onBroker(broker.url, KEYS, 'demo'),
    'np-send': { url: busy.url },
    'np-later': { timeout: '1' },
  };
  const tool = await start(fields);
  await expect.poll(() => busy.got.length).toBeGreaterThan(0);
  await busy.close();
  const hook = await receiver(stage, busy.port);
  const told = () =>
    hook.got.map(({ body }) => JSON.parse(body) as Record<'subject' | 'text' | 'at', string>);
  const failed = {
    subject: 'Luminaire A-02 failed (corridor, Hall)',
    text: 'The lamp was not lit 5 s after the supply was cut.',
    at: iso(NIGHT),
  };
  await expect.poll(told).toEqual([failed]);
  await test(LATER, DEAD, DEAD);
  await expect
    .poll(told)
    .toEqual([failed, { ...failed, subject: 'Luminaire A-01 failed (corridor, Hall)', at: iso(LATER) }]);
  tool.kill('SIGKILL');
  await start(fields);
  await expect
    .poll(
      () =>
        new Set(
          told()
            .slice(2)
            .map(({ subject }) => subject),
        ).size,
    )
    .toBe(2);
});

it('tells that the host is silent, killed or held up with the broker in it, and that it is back', async () => {
  const hook = await receiver(stage);
  const { db, port, serve } = await servedLodge(stage, folder);
  const subjects = () => hook.got.map(({ body }) => JSON.parse(body).subject as string);
  const first = await serve();
  await start({
    ...onBroker(`mqtt://127.0.0.1:${port}`, openKeys(secretFileOf(db)), 'lodge'),
    'np-send': { url: hook.url },
    'np-silence': { duration: '20' },
  });
  await first.end('SIGKILL');
  await expect.poll(subjects).toEqual([`${HOST} is silent`]);
  const second = await serve();
  await expect.poll(subjects).toEqual([`${HOST} is silent`, `${HOST} is back`]);
  void second.end('SIGSTOP');
  await expect.poll(() => subjects().slice(2)).toEqual([`${HOST} is silent`]);
});
