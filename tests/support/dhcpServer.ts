// A DHCP server for one client, after RFC 2131 (message: 2, replies: 4.3) and the options of RFC 2132.
import type { Datagram, W5500 } from './w5500';

export const KIND = { discover: 1, offer: 2, request: 3, ack: 5, nak: 6 };
const SERVER = '192.0.2.1';
const bytesOf = (dotted: string): number[] => dotted.split('.').map(Number);

export interface Request {
  kind: number;
  to: string;
  /** The address the client says it has, and the one it asks for; '' none. */
  own: string;
  wanted: string;
  isBroadcastWanted: boolean;
  mac: Buffer;
}

function optionsOf(bytes: Buffer): Map<number, Buffer> {
  const options = new Map<number, Buffer>();
  if (bytes.readUInt32BE(236) !== 0x63825363) throw new Error('No magic cookie (RFC 2131, 3)');
  for (let at = 240; bytes[at] !== 255; at += 2 + bytes[at + 1])
    options.set(bytes[at], bytes.subarray(at + 2, at + 2 + bytes[at + 1]));
  return options;
}

export class DhcpServer {
  isSilent = false;
  /** Refuses every request. */
  refuses = false;
  leaseSec = 3600;
  address = '192.0.2.50';
  readonly requests: Request[] = [];

  constructor(private readonly chip: W5500) {
    chip.onDatagram = (datagram) => this.hear(datagram);
  }

  kinds(): number[] {
    return this.requests.map((r) => r.kind);
  }

  private hear({ to, port, bytes, from }: Datagram): void {
    if (port !== 67) throw new Error(`A datagram to port ${port}`);
    const options = optionsOf(bytes);
    const [kind] = options.get(53) as Buffer;
    const own = [...bytes.subarray(12, 16)].join('.');
    if (own !== from) throw new Error(`It says it is ${own} and sends from ${from}`);
    const wanted = [...(options.get(50) ?? [])].join('.');
    this.requests.push({
      kind,
      to,
      own,
      wanted,
      isBroadcastWanted: bytes[10] === 0x80,
      mac: bytes.subarray(28, 34),
    });
    if (this.isSilent) return;
    if (kind === KIND.discover) this.answer(bytes, KIND.offer);
    else this.answer(bytes, this.refuses ? KIND.nak : KIND.ack);
  }

  private answer(request: Buffer, kind: number): void {
    const reply = Buffer.alloc(240);
    reply.set([2, 1, 6, 0]);
    request.copy(reply, 4, 4, 8);
    request.copy(reply, 28, 28, 34);
    if (kind !== KIND.nak) reply.set(bytesOf(this.address), 16);
    reply.writeUInt32BE(0x63825363, 236);
    const lease = Buffer.alloc(4);
    lease.writeUInt32BE(this.leaseSec);
    const options = [53, 1, kind, 54, 4, ...bytesOf(SERVER), 51, 4, ...lease, 0, 1, 4, 255, 255, 255, 0];
    const more = [3, 8, ...bytesOf('192.0.2.254'), ...bytesOf('192.0.2.253'), 15, 3, 97, 46, 98, 255];
    const bytes = Buffer.concat([
      reply,
      Buffer.from(kind === KIND.nak ? [53, 1, kind, 54, 4, ...bytesOf(SERVER), 255] : [...options, ...more]),
    ]);
    // Somebody else's answer comes first.
    const other = Buffer.from(bytes);
    other[33] ^= 1;
    this.chip.hear(1, SERVER, 67, other);
    this.chip.hear(1, SERVER, 67, bytes);
  }
}
