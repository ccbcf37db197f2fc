import { expect, it } from 'vitest';
import { chainHash } from '../../../firmware/contract/signature';
import { bytesOf, sha256 } from '../../../host/keys';
import { linkOf } from '../../../host/logbook/chain';

it.each(['{}', '{"who":"Zoë Müller"}', '{"text":"№ 7 🔋"}', `{"text":"${'x'.repeat(20_000)}ä"}`, '\ud83d'])(
  'links a record as its controller does, over the bytes of its text: %.30s',
  (body) => expect(linkOf(body)).toBe(chainHash(sha256, bytesOf(body))),
);
