// A broker with one connection for the firmware behind the rig, in the rig's time: it accepts and confirms
// every message that the firmware publishes, and forgets nothing.
import mqtt, { type IConnackPacket, type Packet } from 'mqtt-packet';
import type { Rig } from './rig';

const TURN_MS = 250;
/** Turns played between two checks of what was sent. */
const TURNS = 8;

export interface Message {
  topic: string;
  payload: string;
}

/** A broker's answer to a packet; undefined when it gives none. */
function answer(packet: Packet): Packet | undefined {
  if (packet.cmd === 'connect')
    return { cmd: 'connack', returnCode: 0, sessionPresent: false } as IConnackPacket;
  if (packet.cmd === 'subscribe')
    return { cmd: 'suback', messageId: packet.messageId, granted: packet.subscriptions.map(() => 1) };
  if (packet.cmd === 'publish' && packet.qos === 1) return { cmd: 'puback', messageId: packet.messageId };
  if (packet.cmd === 'pingreq') return { cmd: 'pingresp' };
  return undefined;
}

/**
 * Runs a freshly started firmware, with constant inputs, until a message satisfies `isLast` or `limitMs` have
 * passed there. `inputs` is what follows the time in a turn's line of the trace.
 * @returns the messages, and the lines of all that the firmware did.
 */
export async function converse(
  rig: Rig,
  inputs: string,
  isLast: (message: Message) => boolean,
  limitMs: number,
): Promise<{ messages: Message[]; told: string[] }> {
  const parser = mqtt.parser({ protocolVersion: 4 });
  const messages: Message[] = [];
  const told: string[] = [];
  let answers: Packet[] = [];
  parser.on('packet', (packet: Packet) => {
    if (packet.cmd === 'publish') messages.push({ topic: packet.topic, payload: String(packet.payload) });
    const said = answer(packet);
    if (said) answers.push(said);
  });
  let isOpen = false;
  for (let ms = TURN_MS; ms < limitMs && !messages.some(isLast); ) {
    const lines = Array.from({ length: TURNS }, (_, i) => `T ${ms + i * TURN_MS} ${inputs}`);
    ms += TURNS * TURN_MS;
    const did = await rig.play(lines);
    if (!isOpen && (await rig.ask<boolean>('rig.open!==0'))) {
      isOpen = true;
      did.push(...(await rig.play([`O ${ms}`])));
    }
    for (const line of did.filter((line) => line[0] === 'W'))
      parser.parse(Buffer.from(line.split(' ')[2], 'hex'));
    told.push(...did);
    const replies = answers.map((packet) => `D ${ms} ${mqtt.generate(packet).toString('hex')}`);
    answers = [];
    const next = await rig.play(replies);
    for (const line of next.filter((line) => line[0] === 'W'))
      parser.parse(Buffer.from(line.split(' ')[2], 'hex'));
    told.push(...next);
  }
  return { messages, told };
}
