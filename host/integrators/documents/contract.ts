// The contract with other systems as documents for their tools: JSON Schemas and an AsyncAPI document, made of the
// schemas that also give the types, and an OpenAPI document of the page's interface.
import { z } from 'zod';
import { noticeTopic, statusTopic } from '../../../firmware/contract/topics';
import { reasonSentence } from '../../words/codes';
import { alertMessage } from '../alerts/alarms';
import { noticeStatus, STATUS_SCHEMAS, STATUS_VERSION, type StatusOf } from '../schema';
import { openApi } from './openApi';

/** Highest number a reason can have on the wire. */
const REASON_MAX = 255;

/** Every message, the notice among them. */
const MESSAGES = { ...STATUS_SCHEMAS, notice: noticeStatus } as const;
type MessageName = keyof typeof MESSAGES;
const NAMES = Object.keys(MESSAGES) as MessageName[];

const PARAMETERS: Record<string, { description: string }> = {
  site: { description: 'Id of the site, from its site file' },
  circuit: { description: 'Id of the circuit' },
  luminaire: { description: 'Id of the luminaire' },
};

function schemaOf(name: MessageName, target: 'draft-7' | 'draft-2020-12'): object {
  return z.toJSONSchema(MESSAGES[name], { target });
}

function addressOf(name: MessageName): string {
  if (name === 'notice') return noticeTopic('{site}');
  return statusTopic('{site}', name, name === 'circuit' || name === 'luminaire' ? `{${name}}` : '');
}

function channelOf(name: MessageName): object {
  const address = addressOf(name);
  const named = Object.entries(PARAMETERS).filter(([parameter]) => address.includes(`{${parameter}}`));
  return {
    address,
    messages: { [name]: { $ref: `#/components/messages/${name}` } },
    parameters: Object.fromEntries(named),
  };
}

function each<T>(make: (name: MessageName) => T): Record<string, T> {
  return Object.fromEntries(NAMES.map((name) => [name, make(name)]));
}

/** The topics and messages as an AsyncAPI 3.0 document. */
export function asyncApi(): object {
  return {
    asyncapi: '3.0.0',
    info: {
      title: 'Nightproof: status of the emergency lighting of a building',
      version: `${STATUS_VERSION}.0.0`,
      description:
        'What the host publishes for other systems. Within a version fields and words are only added. ' +
        'Sentences are for people and may change at any time.',
      license: { name: 'Apache-2.0' },
    },
    defaultContentType: 'application/json',
    channels: each(channelOf),
    operations: each((name) => ({
      action: 'send',
      channel: { $ref: `#/channels/${name}` },
      bindings: { mqtt: { qos: 1, retain: true, bindingVersion: '0.2.0' } },
    })),
    components: {
      messages: each((name) => ({
        name,
        summary: MESSAGES[name].description ?? name,
        payload: {
          schemaFormat: 'application/schema+json;version=draft-07',
          schema: schemaOf(name, 'draft-7'),
        },
      })),
    },
  };
}

/** The sentence of every reason, by its number. */
export function reasons(): Record<string, string> {
  const known = Array.from({ length: REASON_MAX + 1 }, (_, code): [string, string] => [
    String(code),
    reasonSentence(code),
  ]).filter(([code, words]) => words !== '' && !words.startsWith(`Reason ${code}, unknown`));
  return Object.fromEntries(known);
}

/** JSON Schema (2020-12) of a message on a status topic, or of the notice. */
export function messageSchema(name: StatusOf | 'notice'): object {
  return schemaOf(name, 'draft-2020-12');
}

/** All documents by the name of their file. */
export function contractFiles(): Record<string, string> {
  const text = (document: object) => `${JSON.stringify(document, null, 2)}\n`;
  return {
    'asyncapi.json': text(asyncApi()),
    'openapi.json': text(openApi()),
    'reasons.json': text(reasons()),
    'webhook.schema.json': text(z.toJSONSchema(alertMessage, { target: 'draft-2020-12' })),
    ...Object.fromEntries(NAMES.map((name) => [`${name}.schema.json`, text(messageSchema(name))])),
  };
}
