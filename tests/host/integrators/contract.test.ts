// The documents for other systems, against the published schema of AsyncAPI, and messages against the documents.
import asyncApi30 from '@asyncapi/specs/schemas/3.0.0-without-$id.json';
import Ajv from 'ajv';
import addFormats from 'ajv-formats';
import { describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { noticeMessage } from '../../../host/house/view/noticeMessage';
import { asyncApi, contractFiles, reasons } from '../../../host/integrators/documents/contract';
import { circuitMessages } from '../../../host/integrators/status';
import { HOUSE } from '../house/site';
import { NIGHT, newTestedHouse, PASS } from './house';
import { expectValid } from './valid';

const ajv = new Ajv({ strict: false });
addFormats(ajv);

describe('the AsyncAPI document', () => {
  // AsyncAPI 3.0.0, JSON Schema as published in the package @asyncapi/specs.
  const check = ajv.compile(asyncApi30);

  it('is one by the published schema', () => {
    check(asyncApi());
    expect(check.errors ?? []).toEqual([]);
    expect(check({ ...asyncApi(), channels: { x: { address: 7 } } })).toBe(false);
  });

  it('has a channel, an operation and a message for every topic, and each reference leads somewhere', () => {
    const document = JSON.parse(contractFiles()['asyncapi.json']);
    const addresses = Object.values<{ address: string }>(document.channels).map(({ address }) => address);
    expect(addresses).toEqual([
      'nightproof/{site}/status/host',
      'nightproof/{site}/status/building',
      'nightproof/{site}/status/circuit/{circuit}',
      'nightproof/{site}/status/luminaire/{luminaire}',
      'nightproof/{site}/notice',
    ]);
    const references = [...JSON.stringify(document).matchAll(/"\$ref":"#\/([^"]+)"/g)].map((one) => one[1]);
    expect(references.length).toBe(10);
    for (const path of references) {
      const found = path.split('/').reduce((at, key) => at?.[key], document);
      expect(found, path).toBeDefined();
    }
  });
});

it('describes every field to the people who read it', () => {
  const schemas = Object.entries(contractFiles()).filter(([name]) => name.endsWith('.schema.json'));
  expect(schemas.map(([name]) => name.split('.')[0])).toEqual([
    ...['webhook', 'host', 'building', 'circuit', 'luminaire', 'notice'],
  ]);
  for (const [name, text] of schemas) {
    const { description, properties, required } = JSON.parse(text);
    expect(description, name).toMatch(/\w/);
    expect([...required].sort(), name).toEqual(Object.keys(properties).sort());
  }
});

it('gives the sentence of every reason by its number', () => {
  expect(reasons()[Reason.NotLitAtFiveSeconds]).toBe('The lamp was not lit 5 s after the supply was cut.');
  expect(Object.keys(reasons()).length).toBeGreaterThan(40);
});

it('fits what is really told, and nothing worse', async () => {
  const tested = await newTestedHouse();
  await tested.result('a', TestKind.Full, NIGHT, PASS, [2, Reason.EndedEarly, 2460, 300, 300, 0, 2]);
  const { luminaires, circuit } = circuitMessages(HOUSE, tested.house, 'a', NIGHT);
  for (const one of luminaires) expectValid('luminaire', one);
  expectValid('circuit', circuit);
  expectValid('notice', JSON.parse(noticeMessage(tested.house.view.status(NIGHT, 1).notice, 4096)));
  expect(() => expectValid('luminaire', { ...luminaires[0], since: '2026-02-02 03:40' })).toThrow();
  expect(() => expectValid('luminaire', { ...luminaires[0], verdict: 'void' })).toThrow();
});
