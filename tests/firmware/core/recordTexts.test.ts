// Bodies of records, read back character by character.
import { expect, it } from 'vitest';
import { ClockTrust, OrderKind, Reason, TestKind } from '../../../firmware/contract/codes';
import { orderRecord } from '../../../firmware/core/records';
import { Bench, START } from './bench';

it('an order is recorded with its number, what it asked for, why it was refused and who gave it', () => {
  const { s } = new Bench();
  const body = orderRecord(s, 'refused', 12, OrderKind.Test, TestKind.Full, Reason.Stale, 'A. Person', 9000);
  expect(JSON.parse(`{${body}}`)).toEqual({
    boot: 1,
    utc: START + 9,
    clock: ClockTrust.Synchronised,
    kind: 'refused',
    counter: 12,
    do: OrderKind.Test,
    arg: TestKind.Full,
    reason: Reason.Stale,
    who: 'A. Person',
  });
});
