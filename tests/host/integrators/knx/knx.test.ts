// Buildings on a KNX bus: Debian's knxd is the interface, and its tools are the other devices. Where it behaves too well, a socket
// plays an interface that does not.
import { createSocket, type RemoteInfo, type Socket } from 'node:dgram';
import { readdirSync, readFileSync, readlinkSync } from 'node:fs';
import { setTimeout as pause } from 'node:timers/promises';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { addressText } from '../../../../host/integrators/knx/address';
import { readFrame } from '../../../../host/integrators/knx/frames';
import { type Knx, openKnx, type Pace } from '../../../../host/integrators/knx/knx';
import { completed } from '../../../../host/integrators/knx/table';
import { WAITS } from '../../../../host/integrators/knx/tunnel';
import { circuitMessages } from '../../../../host/integrators/status';
import { parseSite } from '../../../../host/site/load';
import { Knxd } from '../../../support/knxd';
import { HOUSE } from '../../house/site';
import { SMALL } from '../../site/small';
import { HostBench } from '../hostBench';
import { NIGHT, newTestedHouse } from '../house';
import { SeveralBench } from '../severalBench';

const FIRST = 0x2801;
const rows = completed([], [HOUSE], FIRST);
const addressOf = (id: string, point: string): string =>
  addressText(rows.find((row) => row.id === id && row.point === point)!.address!);
const HOST = addressOf('demo', 'host');
const DEAD = addressOf('A-02', 'fault');

/** Ports of this process's UDP sockets. */
function ownUdpPorts(): number[] {
  const inodes = readdirSync('/proc/self/fd').map((fd) => {
    try {
      return /^socket:\[(\d+)\]$/.exec(readlinkSync(`/proc/self/fd/${fd}`))?.[1];
    } catch {
      return undefined;
    }
  });
  const lines = readFileSync('/proc/net/udp', 'utf8').split('\n').slice(1, -1);
  const cells = lines.map((line) => line.trim().split(/\s+/));
  return cells
    .filter((cell) => inodes.includes(cell[9]))
    .map((cell) => Number.parseInt(cell[1].split(':')[1], 16));
}

function datagram(from: Socket, text: string | Buffer, port: number): Promise<void> {
  const bytes = typeof text === 'string' ? Buffer.from(text.replaceAll(' ', ''), 'hex') : text;
  return new Promise((resolve) => from.send(bytes, port, '127.0.0.1', () => resolve()));
}

function udpSocket(port = 0): Promise<Socket> {
  const socket = createSocket('udp4');
  return new Promise((resolve) => socket.bind(port, '127.0.0.1', () => resolve(socket)));
}

/** Another device asks until it is answered: on a busy machine the interface may drop a question. */
async function answered(knxd: Knxd, answer: string): Promise<void> {
  const before = knxd.heard.length;
  const ask = async () => {
    await knxd.read(answer.split(' ')[1]);
    return knxd.heard.slice(before);
  };
  await expect.poll(ask, { interval: 500 }).toContain(answer);
}

const ends: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});

async function newKnxd(): Promise<Knxd> {
  const free = await udpSocket();
  const { port } = free.address();
  await new Promise<void>((resolve) => free.close(() => resolve()));
  const knxd = new Knxd(port);
  ends.push(() => knxd.end());
  return knxd;
}

const QUICK = { gapMs: 1, hostMs: 200, retry: { leastMs: 50, mostMs: 100 } };

function open(port: number, problems: string[], pace: Partial<Pace> = {}): Knx {
  const place = { host: '127.0.0.1', port, rows };
  const knx = openKnx({
    ...{ place, onProblem: (sentence) => void problems.push(sentence) },
    pace: { ...QUICK, waits: { ...WAITS, connect: 2000 }, ...pace },
  });
  ends.push(() => knx.close());
  return knx;
}

describe('a running host', () => {
  let bench: HostBench;
  beforeEach(() => {
    bench = new HostBench();
  });
  afterEach(() => bench.end());

  it('tells the bus of a failed luminaire, answers, and takes nothing from it', async () => {
    const knxd = await newKnxd();
    const lines: string[] = [];
    const line = vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
      lines.push(String(text));
      return true;
    });
    ends.push(() => line.mockRestore());
    // An interface that is not there is one sentence, and the host goes on.
    await bench.start(HOUSE, undefined, { knx: { host: '127.0.0.1', port: knxd.port, rows } });
    const name = `The KNX interface 127.0.0.1:${knxd.port}`;
    await expect.poll(() => lines).toEqual([`${name} cannot be used (no answer); still trying.\n`]);
    await knxd.start();
    await expect.poll(() => lines).toHaveLength(2);
    lines.length = 0;
    // Nothing is known of it yet, so nothing is said.
    await knxd.read(DEAD);
    const controller = await bench.testA(bench.host?.brokerPort ?? 0);
    await expect.poll(() => knxd.heard).toContain(`Write ${HOST} 01`);
    await expect.poll(() => knxd.heard).toContain(`Write ${DEAD} 01`);
    await expect.poll(() => knxd.heard).toContain(`Write ${addressOf('A-01', 'fault')} 00`);
    await expect.poll(() => knxd.heard).toContain(`Write ${addressOf('a', 'on battery')} 00`);
    expect(knxd.heard.filter((one) => one.startsWith('Response'))).toEqual([]);
    await answered(knxd, `Response ${DEAD} 01`);
    bench.nowMs += 151_000;
    await expect.poll(() => knxd.heard).toContain(`Write ${addressOf('demo', 'failed')} 00 01`);

    // What others write, to these addresses and to others, is nothing to the host.
    const orders: string[] = [];
    controller.on('message', (topic) => void orders.push(topic));
    await controller.subscribeAsync('nightproof/demo/a/order', { qos: 1 });
    const entries = () => bench.host?.logbook.entries();
    const before = await entries();
    for (const value of [0, 1] as const)
      for (const { address } of [...rows, { address: 1 }]) await knxd.write(addressText(address!), value);
    // The broker holds the port of the same number as its own; a tunnel that was not granted before may still come.
    const ports = ownUdpPorts().filter((one) => one !== bench.host?.brokerPort);
    expect(ports.length).toBeGreaterThan(0);
    const stranger = await udpSocket();
    ends.push(() => stranger.close());
    const channel = '01';
    for (const text of [
      '00',
      'ff'.repeat(1400),
      // Ends the connection, if it were from the interface; refuses it; asks; makes another.
      `06 10 02 09 00 10 ${channel} 00 08 01 7f 00 00 01 00 00`,
      `06 10 02 08 00 08 ${channel} 21`,
      `06 10 04 20 00 15 04 ${channel} 00 00 29 00 bc d0 11 05 28 01 01 00 00`,
      '06 10 02 06 00 08 00 24',
    ])
      for (const port of ports) await datagram(stranger, text, port);
    await answered(knxd, `Response ${DEAD} 01`);
    expect([lines, orders, await entries()]).toEqual([[], [], before]);

    await bench.stop();
    await expect.poll(() => knxd.heard.at(-1)).toBe(`Write ${HOST} 00`);
  });
});

describe('a running host of several buildings', () => {
  let bench: SeveralBench;
  beforeEach(() => {
    bench = new SeveralBench();
  });
  afterEach(() => bench.end());

  it('tells each by its own addresses, from when it is served until it is no more', async () => {
    const knxd = await newKnxd();
    await knxd.start();
    const loaded = parseSite(SMALL, 'small.yaml');
    if (!('site' in loaded)) throw new Error('The small site has mistakes.');
    const [east, west] = ['east', 'west'].map((id) => ({ ...loaded.site, id }));
    const both = completed([], [east, west], FIRST);
    const of = (building: string, id: string, point: string): string => {
      const row = both.find((one) => one.building === building && one.id === id && one.point === point);
      return addressText(row!.address!);
    };
    bench.site('east');
    bench.site('west', 'id: west\n');
    await bench.start(['east', 'west'], { knx: { host: '127.0.0.1', port: knxd.port, rows: both } });
    await bench.report('east');
    await expect.poll(() => knxd.heard).toContain(`Write ${of('east', 'east', 'host')} 01`);
    expect(knxd.heard).not.toContain(`Write ${of('west', 'west', 'host')} 01`);
    bench.site('west');
    await expect.poll(() => bench.host?.slots[1].trouble()).toBe('');
    await bench.report('west');
    await expect.poll(() => knxd.heard).toContain(`Write ${of('west', 'west', 'host')} 01`);
    await expect.poll(() => knxd.heard).toContain(`Write ${of('west', 'A-1', 'not proven')} 01`);
    await bench.host?.slots[1].stop();
    await expect.poll(() => knxd.heard).toContain(`Write ${of('west', 'west', 'host')} 00`);
    await bench.host?.stop();
    await expect.poll(() => knxd.heard.at(-1)).toBe(`Write ${of('east', 'east', 'host')} 00`);
  });
});

/** What is told of a circuit of the house. */
async function looked() {
  const tested = await newTestedHouse();
  tested.heard('a', NIGHT);
  return circuitMessages(HOUSE, tested.house, 'a', NIGHT);
}

/** An interface that grants a tunnel and then does what a test has it do. */
async function played(answer: (bytes: Buffer, socket: Socket, from: RemoteInfo) => void) {
  const socket = await udpSocket();
  ends.push(() => socket.close());
  socket.on('message', (bytes, from) => answer(bytes, socket, from));
  return socket.address().port;
}

const CONNECT = 0x0205;
const REQUEST = 0x0420;
const service = (bytes: Buffer): number => bytes.readUInt16BE(2);
const GRANTED = '06 10 02 06 00 14 07 00 08 01 00 00 00 00 00 00 04 04 11 0a';

describe('the connection', () => {
  it('is made again after the interface was killed, everything is told again, and each is said once', async () => {
    const knxd = await newKnxd();
    await knxd.start();
    const problems: string[] = [];
    const building = open(knxd.port, problems).of(HOUSE, false);
    building.take(await looked());
    // It may tell everything before anybody listens.
    const unproven = () => knxd.remembered(addressOf('A-02', 'not proven'));
    await expect.poll(unproven).toBe('Write 01');
    expect(problems).toEqual([]);
    for (let round = 0; round < 2; round++) {
      await knxd.kill();
      const name = `The KNX interface 127.0.0.1:${knxd.port}`;
      await expect
        .poll(() => problems)
        .toEqual([`${name} cannot be used (it no longer answers); still trying.`]);
      await knxd.start();
      await expect.poll(() => problems.splice(1)).toEqual([`${name} is connected now.`]);
      await expect.poll(unproven).toBe('Write 01');
      problems.length = 0;
    }
  });

  it('is made again after the interface stood still, and nothing that it granted meanwhile stays in use', async () => {
    const knxd = await newKnxd();
    await knxd.start();
    knxd.pause();
    const problems: string[] = [];
    // As many questions wait for it as it has tunnels.
    const waits = { ...WAITS, connect: 300 };
    open(knxd.port, problems, { waits, retry: { leastMs: 1, mostMs: 1 } })
      .of(HOUSE, false)
      .take(await looked());
    await pause(2700);
    knxd.resume();
    // By itself it frees what nobody ends after two minutes.
    await expect.poll(() => problems.at(-1), { timeout: 60_000 }).toContain('is connected now');
    const unproven = () => knxd.remembered(addressOf('A-02', 'not proven'));
    await expect.poll(unproven).toBe('Write 01');
  });

  it('tells everything again in rounds, and that the host is there more often', async () => {
    const knxd = await newKnxd();
    await knxd.start();
    const building = open(knxd.port, [], { hostMs: 100, roundMs: 1000 }).of(HOUSE, false);
    building.take(await looked());
    const times = (text: string) => knxd.heard.filter((one) => one === text).length;
    await expect.poll(() => times(`Write ${DEAD} 00`)).toBeGreaterThan(2);
    expect(times(`Write ${HOST} 01`)).toBeGreaterThan(times(`Write ${DEAD} 00`));
  });

  it('carries several buildings, of which one may leave', async () => {
    const knxd = await newKnxd();
    await knxd.start();
    const east = { ...HOUSE, id: 'east' };
    const all = completed(rows, [HOUSE, east], FIRST);
    const problems: string[] = [];
    const knx = openKnx({
      ...{ place: { host: 'localhost', port: knxd.port, rows: all }, pace: { gapMs: 1 } },
      onProblem: (sentence) => void problems.push(sentence),
    });
    ends.push(() => knx.close());
    const [here, there] = [knx.of(HOUSE, false), knx.of(east, false)];
    const messages = await looked();
    here.take(messages);
    const ofEast = (point: string, id = 'east') =>
      addressText(
        all.find((row) => row.building === 'east' && row.id === id && row.point === point)!.address!,
      );
    await expect.poll(() => knxd.heard).toContain(`Write ${DEAD} 00`);
    there.take(messages);
    await expect.poll(() => knxd.heard).toContain(`Write ${ofEast('fault', 'A-02')} 00`);
    there.leave();
    await expect.poll(() => knxd.heard).toContain(`Write ${ofEast('host')} 00`);
    await knxd.read(ofEast('fault', 'A-02'));
    await answered(knxd, `Response ${DEAD} 00`);
    expect(knxd.heard).not.toContain(`Response ${ofEast('fault', 'A-02')} 00`);
    expect(problems).toEqual([]);
  });

  it('says nothing of a building until it is looked at, and 0 if it is given up before', async () => {
    const knxd = await newKnxd();
    await knxd.start();
    const other = { ...HOUSE, id: 'other' };
    const place = { host: '127.0.0.1', port: knxd.port, rows: completed(rows, [HOUSE, other], FIRST) };
    const knx = openKnx({ place, onProblem: () => {}, pace: QUICK });
    ends.push(() => knx.close());
    const row = place.rows.find(({ building, point }) => building === 'other' && point === 'host');
    const unseen = addressText(row!.address!);
    const messages = await looked();
    const building = knx.of(other, false);
    knx.of(HOUSE, false).take(messages);
    const signs = () => knxd.heard.filter((one) => one === `Write ${HOST} 01`).length;
    await expect.poll(signs).toBeGreaterThan(2);
    expect(knxd.heard.filter((one) => one.includes(` ${unseen} `))).toEqual([]);
    building.leave();
    await expect.poll(() => knxd.heard).toContain(`Write ${unseen} 00`);
    expect(knxd.heard).not.toContain(`Write ${unseen} 01`);
  });

  it('says no longer that the host is there once nobody looks at the building', async () => {
    const knxd = await newKnxd();
    await knxd.start();
    const building = open(knxd.port, [], { hostMs: 50, roundMs: 200, unwatchedMs: 2000 }).of(HOUSE, false);
    const messages = await looked();
    const signs = () => knxd.heard.filter((one) => one === `Write ${HOST} 01`).length;
    building.take(messages);
    await expect.poll(signs).toBeGreaterThan(5);
    // It falls silent, and speaks again when somebody looks.
    const isSilent = async () => {
      const before = signs();
      await pause(1000);
      return signs() === before;
    };
    await expect.poll(isSilent).toBe(true);
    const before = signs();
    await knxd.read(HOST);
    await answered(knxd, `Response ${DEAD} 00`);
    expect(knxd.heard).not.toContain(`Response ${HOST} 01`);
    building.take(messages);
    await expect.poll(signs).toBeGreaterThan(before + 1);
  });

  it('ends with the host, which is no trouble of the interface', async () => {
    const knxd = await newKnxd();
    await knxd.start();
    const problems: string[] = [];
    const knx = open(knxd.port, problems);
    knx.of(HOUSE, false).take(await looked());
    await expect.poll(() => knxd.remembered(DEAD)).toBe('Write 00');
    await knx.close();
    await pause(100);
    expect(problems).toEqual([]);
  });

  it('is given up at once where it was only being looked for', async () => {
    const port = await played((bytes, socket, from) => {
      if (service(bytes) === CONNECT) void datagram(socket, GRANTED, from.port);
    });
    const before = ownUdpPorts();
    await open(port, []).close();
    await pause(500);
    expect(ownUdpPorts()).toEqual(before);
  });

  it('says what the table does not fit, in a sentence each', () => {
    const problems: string[] = [];
    const { circuits } = HOUSE;
    const renamed = { ...circuits[1], id: 'c' };
    open(9, problems).of({ ...HOUSE, circuits: [circuits[0], renamed] }, false);
    expect(problems).toEqual([
      'The table of group addresses has 3 rows of what is not in demo, such as circuit b; they are not told.',
      'The table of group addresses lacks 3 points of demo, such as b: fault; add them with `nightproof knx-addresses`.',
    ]);
  });
});

describe('an interface that misbehaves', () => {
  it('and refuses is named with its reason', async () => {
    const port = await played((_bytes, socket, from) => {
      void datagram(socket, '06 10 02 06 00 08 00 24', from.port);
    });
    const problems: string[] = [];
    open(port, problems);
    await expect
      .poll(() => problems)
      .toEqual([
        `The KNX interface 127.0.0.1:${port} cannot be used (all its tunnels are in use); still trying.`,
      ]);
  });

  it('and refuses for long is asked for long, and nothing of it adds up', async () => {
    const warnings: string[] = [];
    const warn = ({ message }: Error) => void warnings.push(message);
    process.on('warning', warn);
    ends.push(() => process.off('warning', warn));
    let asked = 0;
    const port = await played((_bytes, socket, from) => {
      asked++;
      void datagram(socket, '06 10 02 06 00 08 00 24', from.port);
    });
    open(port, [], { retry: { leastMs: 1, mostMs: 1 } });
    await expect.poll(() => asked).toBeGreaterThan(30);
    expect(warnings).toEqual([]);
    expect(ownUdpPorts().length).toBeLessThan(5);
  });

  it('and acknowledges nothing is asked twice, told that the tunnel is over, then asked for another', async () => {
    const messages = await looked();
    const seen: string[] = [];
    const port = await played((bytes, socket, from) => {
      seen.push(service(bytes).toString(16));
      if (service(bytes) === CONNECT) void datagram(socket, GRANTED, from.port);
    });
    open(port, []).of(HOUSE, false).take(messages);
    await expect.poll(() => seen.join(' ')).toMatch(/^205 420 420 209 205 420 420 209 205/);
  });

  it('and forgets the connection is left for a new one', async () => {
    const seen: number[] = [];
    const port = await played((bytes, socket, from) => {
      seen.push(service(bytes));
      if (service(bytes) === CONNECT) void datagram(socket, GRANTED, from.port);
      if (service(bytes) === 0x0207) void datagram(socket, '06 10 02 08 00 08 07 21', from.port);
    });
    const problems: string[] = [];
    open(port, problems, { waits: { ...WAITS, alive: 100 } });
    await expect.poll(() => seen.filter((one) => one === CONNECT).length).toBeGreaterThan(1);
    expect(problems[0]).toContain('(it knows nothing of the connection)');
  });

  it('and can never be reached is named with the reason of the system', async () => {
    const problems: string[] = [];
    const place = { host: '255.255.255.255', port: 9, rows };
    const knx = openKnx({ place, onProblem: (sentence) => void problems.push(sentence), pace: QUICK });
    ends.push(() => knx.close());
    await expect.poll(() => problems[0]).toContain('cannot be used (connect EACCES');
  });

  it('and ends the connection is answered, and asked for another', async () => {
    const seen: number[] = [];
    const port = await played((bytes, socket, from) => {
      seen.push(service(bytes));
      if (service(bytes) !== CONNECT) return;
      void datagram(socket, GRANTED, from.port);
      void datagram(socket, '06 10 02 09 00 10 07 00 08 01 00 00 00 00 00 00', from.port);
    });
    open(port, []);
    await expect.poll(() => seen.slice(0, 3)).toEqual([CONNECT, 0x020a, CONNECT]);
  });

  it('and sends a telegram again, or one out of turn, is acknowledged as the standard says and asked no more than once', async () => {
    const messages = await looked();
    const acks: number[] = [];
    const answers: number[] = [];
    const read = (seq: string) => `06 10 04 20 00 15 04 07 ${seq} 00 29 00 bc d0 11 05 28 01 01 00 00`;
    const port = await played((bytes, socket, from) => {
      const frame = readFrame(bytes);
      if (service(bytes) === CONNECT) {
        void datagram(socket, GRANTED, from.port);
        for (const seq of ['00', '00', '05', '01']) void datagram(socket, read(seq), from.port);
      }
      if (frame?.kind === 'ack') acks.push(frame.seq);
      if (service(bytes) !== REQUEST) return;
      if ((bytes.at(-1)! & 0xc0) === 0x40) answers.push(bytes[8]);
      void datagram(socket, `06 10 04 21 00 0a 04 07 ${bytes.subarray(8, 9).toString('hex')} 00`, from.port);
      const taken = Buffer.from(bytes);
      taken[10] = 0x2e;
      taken[8] = 2 + bytes[8];
      void datagram(socket, taken, from.port);
    });
    open(port, [], { hostMs: 60_000 }).of(HOUSE, false).take(messages);
    await expect.poll(() => acks.slice(0, 3)).toEqual([0, 0, 1]);
    await expect.poll(() => answers.length).toBe(1);
  });

  it('and loses a datagram now and then is told everything, in one connection beyond its 256 numbers', async () => {
    const messages = await looked();
    const seen: number[] = [];
    let [connects, seq] = [0, 0];
    const port = await played((bytes, socket, from) => {
      if (service(bytes) === CONNECT) {
        connects++;
        void datagram(socket, GRANTED, from.port);
      }
      if (service(bytes) !== REQUEST) return;
      seen.push(bytes[8]);
      const isLost = bytes[8] % 128 === 0 && seen.at(-2) !== bytes[8];
      if (isLost) return;
      void datagram(socket, `06 10 04 21 00 0a 04 07 ${bytes.subarray(8, 9).toString('hex')} 00`, from.port);
      const taken = Buffer.from(bytes);
      taken[8] = seq++ % 256;
      taken[10] = 0x2e;
      void datagram(socket, taken, from.port);
    });
    const problems: string[] = [];
    const waits = { ...WAITS, ack: 2000 };
    open(port, problems, { hostMs: 1, waits }).of(HOUSE, false).take(messages);
    await expect.poll(() => seen.length).toBeGreaterThan(300);
    expect([connects, problems]).toEqual([1, []]);
    const numbers = Array.from({ length: 300 }, (_, n) => n % 256);
    const sent = numbers.flatMap((one) => (one % 128 === 0 ? [one, one] : [one]));
    expect(seen.slice(0, 300)).toEqual(sent.slice(0, 300));
  });

  it.each([
    ['says that the bus did not', 'the bus does not take it', true],
    ['never says that the bus did', 'the interface does not say that the bus has it', false],
  ])(
    'and takes a telegram, but %s, has it sent again after the others, three times, and it is said once',
    async (_, why, isAnswered) => {
      const messages = await looked();
      const stubborn = rows.find(({ id, point }) => id === 'A-02' && point === 'fault')!.address!;
      const seen: number[] = [];
      let [seq, isMended, connects] = [0, false, 0];
      const port = await played((bytes, socket, from) => {
        if (service(bytes) === CONNECT) {
          connects++;
          void datagram(socket, GRANTED, from.port);
        }
        if (service(bytes) !== REQUEST) return;
        const to = bytes.readUInt16BE(16);
        seen.push(to);
        void datagram(
          socket,
          `06 10 04 21 00 0a 04 07 ${bytes.subarray(8, 9).toString('hex')} 00`,
          from.port,
        );
        const isTaken = to !== stubborn || isMended;
        if (!isTaken && !isAnswered) return;
        const answer = Buffer.from(bytes);
        answer[8] = seq++ % 256;
        answer[10] = 0x2e;
        if (!isTaken) answer[12] |= 1;
        void datagram(socket, answer, from.port);
      });
      const problems: string[] = [];
      const waits = { ...WAITS, sent: 500 };
      const knx = open(port, problems, { hostMs: 50, roundMs: 3_600_000, waits });
      const building = knx.of(HOUSE, false);
      building.take(messages);
      const times = () => seen.filter((one) => one === stubborn).length;
      await expect.poll(times).toBe(3);
      const name = addressText(stubborn);
      const told = [`The KNX bus has not taken what it was told for ${name} (${why}); still trying.`];
      await expect.poll(() => problems).toEqual(told);
      // Others had their turn between, and have it after; another try comes with a round.
      const first = seen.indexOf(stubborn);
      expect(seen[first + 1]).not.toBe(stubborn);
      const before = seen.length;
      await expect.poll(() => seen.length).toBeGreaterThan(before + 5);
      expect([times(), connects, problems]).toEqual([3, 1, told]);
      // A change is worth three tries of its own.
      isMended = true;
      const [dead] = messages.luminaires.filter(({ luminaire }) => luminaire === 'A-02');
      building.take({ ...messages, luminaires: [{ ...dead, verdict: 'fail' }] });
      await expect.poll(() => problems).toEqual([...told, 'The KNX bus takes what it is told again.']);
    },
  );

  it('and grants a tunnel too late is told that nobody wants it', async () => {
    const asked: number[] = [];
    const ended: string[] = [];
    const port = await played((bytes, socket, from) => {
      if (service(bytes) === 0x0209) ended.push(`${bytes[6]} ${from.port}`);
      if (service(bytes) !== CONNECT) return;
      asked.push(from.port);
      // It stands still until the third question, and then answers all.
      const late = asked.length === 3 ? asked.keys() : asked.length > 3 ? [asked.length - 1] : [];
      for (const n of late)
        void datagram(socket, GRANTED.replace('07', `${(n + 1).toString(16).padStart(2, '0')}`), asked[n]);
    });
    const problems: string[] = [];
    open(port, problems, { waits: { ...WAITS, connect: 200 } });
    await expect.poll(() => problems.at(-1)).toContain('is connected now');
    const unwanted = () => asked.slice(0, -1).map((from, n) => `${n + 1} ${from}`);
    await expect.poll(() => ended.sort().join() === unwanted().sort().join()).toBe(true);
    expect(asked.length).toBeGreaterThan(2);
    // One socket is left, of the tunnel that is used.
    await expect.poll(() => ownUdpPorts().filter((one) => asked.includes(one))).toEqual(asked.slice(-1));
  });

  it('and wants telegrams elsewhere has them there', async () => {
    const messages = await looked();
    const there: number[] = [];
    const data = await played((bytes, socket, from) => {
      there.push(service(bytes));
      void datagram(socket, `06 10 04 21 00 0a 04 07 ${bytes.subarray(8, 9).toString('hex')} 00`, from.port);
    });
    const here: number[] = [];
    const at = data.toString(16).padStart(4, '0');
    const port = await played((bytes, socket, from) => {
      here.push(service(bytes));
      const granted = `06 10 02 06 00 14 07 00 08 01 7f 00 00 01 ${at} 04 04 11 0a`;
      if (service(bytes) === CONNECT) void datagram(socket, granted, from.port);
    });
    const waits = { ...WAITS, sent: 1 };
    open(port, [], { hostMs: 20, waits }).of(HOUSE, false).take(messages);
    await expect.poll(() => there.filter((one) => one === REQUEST).length).toBeGreaterThan(3);
    expect(here).toEqual([CONNECT]);
  });

  it('and sends rubbish from its own port does not bring the host down', async () => {
    const messages = await looked();
    let client = 0;
    let sender: Socket | undefined;
    const seen: number[] = [];
    const port = await played((bytes, socket, from) => {
      seen.push(service(bytes));
      [client, sender] = [from.port, socket];
      if (service(bytes) === CONNECT) void datagram(socket, GRANTED, from.port);
    });
    const problems: string[] = [];
    open(port, problems).of(HOUSE, false).take(messages);
    await expect.poll(() => client).toBeGreaterThan(0);
    const kinds = fc.constantFrom(0x0206, 0x0208, 0x0209, 0x0420, 0x0421);
    await fc.assert(
      fc.asyncProperty(
        fc.uint8Array({ maxLength: 60 }),
        kinds,
        fc.boolean(),
        async (body, kind, isFramed) => {
          const head = Buffer.from([6, 0x10, kind >> 8, kind & 255, 0, body.length + 8, 7, 7]);
          await datagram(sender!, isFramed ? Buffer.concat([head, body]) : Buffer.from(body), client);
        },
      ),
    );
    seen.length = 0;
    await expect.poll(() => seen).toContain(CONNECT);
    for (const sentence of problems)
      expect(sentence).toMatch(/^The KNX interface 127\.0\.0\.1:\d+ (cannot be used|is connected)/);
  });
});
