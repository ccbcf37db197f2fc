// Mail through the building's own SMTP server. The package is loaded only where mail is set up.
import { sha256Hex } from '../../keys';
import type { Letter } from './letters';
import { RefusedForGood } from './queue';

export interface MailAddress {
  /** smtp://user@host:port, or smtps:// for TLS from the first byte. */
  server: string;
  password?: string;
  from: string;
  to: string[];
}

const CONNECT_MS = 10_000;
const SOCKET_MS = 30_000;

export interface Post {
  /**
   * To one receiver: of a mail to several the server may take a part only.
   * @param id of what it says: the same mail sent twice is one for its reader
   * @throws Error with a reason; RefusedForGood if the server will never take it
   */
  send(to: string, letter: Letter, id: string): Promise<void>;
}

/** @throws Error unless the server is an address, which `readAlertSettings` makes sure of */
export function newPost({ server, password, from }: Omit<MailAddress, 'to'>): Post {
  const { protocol, hostname, port, username } = new URL(server);
  const isTls = protocol === 'smtps:';
  const user = decodeURIComponent(username);
  const options = {
    ...{ host: hostname, port: Number(port) || (isTls ? 465 : 587), secure: isTls },
    // A password never goes over a line that could be listened to.
    ...(user !== '' && { auth: { user, pass: password ?? '' }, requireTLS: true }),
    ...{ connectionTimeout: CONNECT_MS, greetingTimeout: CONNECT_MS, socketTimeout: SOCKET_MS },
  };
  return {
    async send(to, { subject, text }, id) {
      const { createTransport } = await import('nodemailer');
      const transport = createTransport(options);
      const digest = sha256Hex(id).slice(0, 32);
      try {
        await transport.sendMail({
          ...{ from, to, subject, text },
          messageId: `<${digest}@${from.split('@').at(-1)?.replace(/>$/, '') ?? 'nightproof'}>`,
        });
      } catch (error) {
        const { message, permanent } = error as Error & { permanent?: boolean };
        throw permanent ? new RefusedForGood(message) : error;
      } finally {
        transport.close();
      }
    },
  };
}
