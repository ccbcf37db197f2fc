import { once } from 'node:events';
import { type AddressInfo, connect } from 'node:net';
import { createAdaptorServer } from '@hono/node-server';
import { expect, it } from 'vitest';
import { siteRoutes } from '../../../host/server/siteRoutes';
import type { SiteDoor } from '../../../host/siteDoor/door';

it('takes a change over even if whoever saved it left before the answer', async () => {
  const taken: string[] = [];
  let gone: Promise<unknown> = Promise.resolve();
  /** As slow as a log book on a slow disk: it saves when the browser has left. */
  const door: Pick<SiteDoor, 'change' | 'takeOver'> = {
    async change({ revision }) {
      socket.destroy();
      await gone;
      return { ok: true, revision, answer: 'Saved.', taken: true };
    },
    takeOver: () => void taken.push('taken over'),
  };
  const server = createAdaptorServer(siteRoutes({ door: door as SiteDoor, now: () => 1770000000 }));
  server.on('request', (_, answer) => {
    gone = once(answer, 'close');
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const socket = connect((server.address() as AddressInfo).port, '127.0.0.1');
  const change = { do: 'set', part: 'site', id: '', field: 'name', value: 'The mill' };
  const body = JSON.stringify({ revision: '1', who: 'Ada Vail', changes: [change] });
  socket.write(
    `POST /site HTTP/1.1\r\nhost: mill\r\ncontent-type: application/json\r\ncontent-length: ${body.length}\r\n\r\n${body}`,
  );
  try {
    await expect.poll(() => taken).toEqual(['taken over']);
  } finally {
    server.close();
  }
});
