// The registers as another project's client reads them, and what the server does with those who are no such client.
import { readFileSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import ModbusRTU from 'modbus-serial';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { answerTo, requestSize } from '../../../../host/integrators/modbus/answer';
import { modbusDocument, modbusPlaces } from '../../../../host/integrators/modbus/document';
import { BUILDING, CIRCUIT, LUMINAIRE } from '../../../../host/integrators/modbus/map';
import { newRegisters } from '../../../../host/integrators/modbus/registers';
import {
  CONNECTIONS_MAX,
  type Modbus,
  PER_ADDRESS_MAX,
  startModbus,
} from '../../../../host/integrators/modbus/server';
import { HOUSE } from '../../house/site';
import { HostBench } from '../hostBench';

const file = fileURLToPath(new URL('../../../../docs/modbus.md', import.meta.url));

it('docs/modbus.md matches the map (rewrite it with WRITE_MODBUS_DOC=1)', () => {
  if (process.env.WRITE_MODBUS_DOC === '1') writeFileSync(file, modbusDocument());
  expect(readFileSync(file, 'utf8')).toBe(modbusDocument());
});

it('writes no place that a spreadsheet takes for a formula, and quotes as other tables do', () => {
  const [one] = HOUSE.circuits;
  const [luminaire] = one.luminaires;
  const hall = { ...luminaire, id: 'L-1', place: 'hall, "east"' };
  const named = { ...one, name: '@SUM(A1)', luminaires: [{ ...luminaire, place: '=1+1' }, hall] };
  expect(modbusPlaces({ ...HOUSE, circuits: [named] })).toBe(
    [
      'what,id,name,unit,register',
      `circuit,${one.id},"'@SUM(A1)",1,1000`,
      `luminaire,${luminaire.id},"'=1+1",1,20000`,
      'luminaire,L-1,"hall, ""east""",1,20004',
      '',
    ].join('\r\n'),
  );
});

it('says of everything that it is not known until it is', () => {
  const { read } = newRegisters(HOUSE, false, () => 0);
  const unknown = 65535;
  expect([...read(1, LUMINAIRE.at, 4)]).toEqual([0, 0, unknown, unknown]);
  // Contact, state, supply twice and relay; troubles and three counts; five times of two words.
  const circuit = [...Array(5).fill(0), ...Array(4).fill(unknown), ...Array(10).fill(0)];
  expect([...read(1, CIRCUIT.at, 19)]).toEqual(circuit);
  const building = [1, 0, 0, 0, ...Array(13).fill(unknown), 0, 0];
  expect([...read(1, 0, 19)]).toEqual(building);
});

it('keeps every block within its room', () => {
  const width = (fields: { words: number }[]) => fields.reduce((sum, { words }) => sum + words, 0);
  for (const { fields, stride } of [BUILDING, CIRCUIT, LUMINAIRE])
    expect(width(fields)).toBeLessThanOrEqual(stride);
  expect(CIRCUIT.at).toBeGreaterThanOrEqual(BUILDING.stride);
  expect(LUMINAIRE.at).toBeGreaterThanOrEqual(CIRCUIT.at + CIRCUIT.stride * CIRCUIT.perUnit);
  expect(LUMINAIRE.at + LUMINAIRE.stride * LUMINAIRE.perUnit).toBeLessThanOrEqual(65536);
});

describe('a running host', () => {
  let bench: HostBench;
  beforeEach(() => {
    bench = new HostBench();
  });
  afterEach(() => bench.end());

  it('shows a client which luminaire has failed, and lets it write nothing', async () => {
    // A port of its own that is free now.
    const free = await startModbus({ site: HOUSE, simulated: false, place: { port: 0 }, now: () => 0 });
    await free.close();
    await bench.start(HOUSE, undefined, { modbus: { port: free.port } });
    const client = new ModbusRTU();
    client.setTimeout(5000);
    await client.connectTCP('127.0.0.1', { port: free.port });
    bench.ends.push(() => client.close(() => {}));
    client.setID(1);
    const places = new Map(
      modbusPlaces(HOUSE)
        .trim()
        .split('\r\n')
        .map((line) => line.split(','))
        .map(([what, id, , , register]) => [`${what} ${id}`, Number(register)]),
    );
    const at = (name: string) => places.get(name) ?? -1;
    const words = async (from: number, count: number) => (await client.readInputRegisters(from, count)).data;
    expect(await words(at('luminaire A-02'), 4)).toEqual([0, 0, 65535, 65535]);
    await bench.testA(bench.host?.brokerPort ?? 0);
    await expect.poll(() => words(at('luminaire A-02'), 4)).toEqual([2, 1, 65535, 65535]);
    expect(await words(at('luminaire A-01'), 4)).toEqual([1, 0, 0, 0]);
    expect((await client.readHoldingRegisters(at('luminaire A-02'), 1)).data).toEqual([2]);
    // Reporting, charged, and the times of its duration test in two words.
    const circuit = await words(at('circuit a'), 20);
    expect(circuit.slice(0, 9)).toEqual([1, 2, 1, 1, 2, 0, 1, 1, 0]);
    expect(circuit[11] * 65536 + circuit[12]).toBe(1_770_000_000);
    bench.nowMs += 151_000;
    const time = 1_770_000_151;
    const counted = [Math.floor(time / 65_536), time % 65_536];
    await expect.poll(() => words(0, 7)).toEqual([1, ...counted, 2, 1, 1, 1]);
    for (const write of [
      () => client.writeRegister(0, 1),
      () => client.writeRegisters(0, [1, 2]),
      () => client.writeCoil(0, true),
      () => client.writeCoils(0, [true]),
      () => client.readCoils(0, 1),
      () => client.readDiscreteInputs(0, 1),
    ])
      await expect(write()).rejects.toMatchObject({ modbusCode: 1 });
    await expect(words(at('luminaire B-01') + 4, 1)).rejects.toMatchObject({ modbusCode: 2 });
    await expect(words(999, 2)).rejects.toMatchObject({ modbusCode: 2 });
    await expect(words(0, 126)).rejects.toMatchObject({ modbusCode: 3 });
    client.setID(9);
    await expect(words(0, 1)).rejects.toMatchObject({ modbusCode: 2 });
  });
});

describe('the server', () => {
  let server: Modbus;
  let told: string[];
  beforeEach(async () => {
    told = [];
    const about = { site: HOUSE, simulated: false, place: { port: 0 }, now: () => 0 };
    server = await startModbus({ ...about, onProblem: (sentence) => void told.push(sentence) });
  });
  afterEach(() => server.close());

  /** Whether a client gets an answer, or its end. */
  const open = (localAddress: string) =>
    new Promise<string>((resolve) => {
      const socket = connect({ port: server.port, host: '127.0.0.1', localAddress });
      socket.once('close', () => resolve('closed'));
      socket.on('error', () => {});
      socket.once('data', () => resolve('open'));
      socket.write(Buffer.from('000100000006010400000001', 'hex'));
    });

  it('is reached by so many of one address at once, says so, and still by others', async () => {
    const many = Array.from({ length: PER_ADDRESS_MAX + 12 }, () => open('127.0.0.1'));
    const all = await Promise.all(many);
    expect(all.filter((one) => one === 'open').length).toBe(PER_ADDRESS_MAX);
    expect(told).toEqual(['Too many clients from 127.0.0.1 read registers; one more was turned away.']);
    expect(await open('127.0.0.2')).toBe('open');
  });

  it('is reached by so many of all addresses at once', async () => {
    const many = Array.from({ length: CONNECTIONS_MAX + 8 }, (_, i) => open(`127.0.0.${2 + (i % 12)}`));
    const all = await Promise.all(many);
    expect(all.filter((one) => one === 'open').length).toBe(CONNECTIONS_MAX);
  });

  it('says in one sentence that a port is taken', async () => {
    const place = { port: server.port };
    await expect(startModbus({ site: HOUSE, simulated: false, place, now: () => 0 })).rejects.toThrow(
      `The registers cannot be served on 127.0.0.1 port ${server.port}: another program is using it; choose another --modbus.`,
    );
  });

  it('ends what is no Modbus', async () => {
    const socket = connect(server.port, '127.0.0.1');
    const closed = new Promise((resolve) => socket.once('close', () => resolve('closed')));
    socket.write('GET / HTTP/1.1\r\nHost: here\r\n\r\n');
    expect(await closed).toBe('closed');
  });
});

it('answers whatever is sent, with its own transaction and never with more than was asked for', () => {
  const registers = newRegisters(HOUSE, false, () => 0);
  fc.assert(
    fc.property(
      fc.uint8Array({ minLength: 2, maxLength: 254 }),
      fc.integer({ min: 0, max: 65535 }),
      (body, id) => {
        const head = Buffer.from([id >> 8, id & 255, 0, 0, 0, body.length]);
        const request = Buffer.concat([head, body]);
        expect(requestSize(request)).toBe(request.length);
        const answer = answerTo(request, registers);
        expect(answer.readUInt16BE(0)).toBe(id);
        expect(answer.readUInt16BE(4)).toBe(answer.length - 6);
        expect(answer[7] & 127).toBe(body[1] & 127);
        expect(answer.length).toBeLessThanOrEqual(260);
      },
    ),
  );
});

it('puts 20,000 luminaires into two units', () => {
  const [one] = HOUSE.circuits;
  const luminaires = Array.from({ length: 20_000 }, (_, i) => ({ ...one.luminaires[0], id: `L-${i}` }));
  const site = { ...HOUSE, circuits: [{ ...one, luminaires }] };
  const registers = newRegisters(site, false, () => 0);
  expect(registers.read(2, 20_000 + 4 * 9_999, 4)).toHaveLength(4);
  expect(registers.read(3, 20_000, 4)).toBe('no registers');
  expect(modbusPlaces(site)).toContain('luminaire,L-19999,corridor,2,59996\r\n');
});
