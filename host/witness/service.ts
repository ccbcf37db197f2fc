// A witness over HTTP: C2SP tlog-witness v1.0.0 (2026), section "HTTP Interface".

import { type Context, Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { sha256Raw } from '../keys';
import { toHexText, utf8 } from '../proof/bytes';
import { keyText } from '../proof/verifierKey';
import { listen, type Place, urlOf } from '../server/listen';
import { judge, type WitnessParts } from './judge';

/** A checkpoint with a hundred signatures and the longest proof. */
const BODY_BYTES = 64 * 1024;
const REFUSED_SHOWN = 20;

/** Where a log's newest checkpoint is: SHA-256 of its origin, hex (section "Monitor Retrieval Mechanism"). */
export function originHash(origin: string): string {
  return toHexText(sha256Raw(utf8(origin)));
}

/** What the witness has seen, for a person. */
function overview({ signer, logs, store }: WitnessParts): string {
  const seen = logs.map(({ name }) => {
    const latest = store.latest(name);
    return latest
      ? `${name}: ${store.count(name)} checkpoints signed, the newest of ${latest.size} entries: /${originHash(name)}/checkpoint`
      : `${name}: nothing signed yet`;
  });
  const refused = store
    .refused(REFUSED_SHOWN)
    .map(({ at, why }) => `${new Date(at * 1000).toISOString()} refused: ${why}`);
  return `Witness ${keyText(signer.key)}\n\n${[...seen, ...refused].join('\n')}\n`;
}

function witnessRoutes(parts: WitnessParts): Hono {
  const app = new Hono();
  const plain = (c: Context, text: string, status: 200 | 404 = 200) => c.text(text, status);
  const onError = (c: Context) => c.text('The request is longer than any checkpoint.\n', 400);
  app.post('/add-checkpoint', bodyLimit({ maxSize: BODY_BYTES, onError }), async (c) => {
    const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
    let body: string;
    try {
      body = text.decode(await c.req.arrayBuffer());
    } catch {
      return c.text('The request is not UTF-8.\n', 400);
    }
    const answer = await judge(parts, body);
    return c.body(answer.body, answer.status, { 'Content-Type': answer.type ?? 'text/plain; charset=utf-8' });
  });
  app.get('/:hash/checkpoint', (c) => {
    const log = parts.logs.find(({ name }) => originHash(name) === c.req.param('hash'));
    const seen = log && parts.store.latest(log.name);
    return seen ? plain(c, seen.note) : plain(c, 'No checkpoint of such a log was signed here.\n', 404);
  });
  app.get('/', (c) => plain(c, overview(parts)));
  return app;
}

export interface WitnessServer {
  url: string;
  close(): Promise<void>;
}

/** @throws Error with one sentence if the port is taken. */
export async function startWitness(parts: WitnessParts, place: Place): Promise<WitnessServer> {
  const { port, close } = await listen(witnessRoutes(parts), place, (error) =>
    error.code === 'EADDRINUSE'
      ? `Port ${place.port} is taken; choose another with --port.`
      : `The witness cannot listen on ${place.host}:${place.port}: ${error.message}.`,
  );
  return { url: urlOf({ host: place.host, port }), close };
}
