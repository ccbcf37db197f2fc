// Checks a message by the published schema, with another library than the one that made it.
import Ajv2020 from 'ajv/dist/2020';
import addFormats from 'ajv-formats';
import { expect } from 'vitest';
import { messageSchema } from '../../../host/integrators/documents/contract';

const ajv = new Ajv2020({ strict: true, allErrors: true });
addFormats(ajv);
const checks = new Map<string, ReturnType<typeof ajv.compile>>();

export function expectValid(name: Parameters<typeof messageSchema>[0], message: unknown): void {
  const check = checks.get(name) ?? ajv.compile(messageSchema(name));
  checks.set(name, check);
  check(message);
  expect(check.errors ?? [], JSON.stringify(message)).toEqual([]);
}
