import { expect, it } from 'vitest';
import { requestRefusal } from '../../../host/server/guard';

it.each(['127.0.0.1', '127.0.0.2', 'localhost', '::1'])(
  'takes no foreign name that points to a page bound to %s',
  (boundTo) => {
    const asked = (host: string) =>
      requestRefusal({ method: 'GET', header: (name) => (name === 'host' ? host : undefined) }, { boundTo });
    expect(asked('rebound.example.org:8350')).toMatch(/^This page is only for this machine/);
    expect(asked(`${boundTo === '::1' ? '[::1]' : boundTo}:8350`)).toBe('');
  },
);

it.each([
  ['lights.example.org:8350', 'https://lights.example.org:8350', ''],
  ['[fd12::7]:8350', 'https://[fd12::7]:8350', ''],
  ['192.0.2.10:8350', 'http://192.0.2.10:8350', 'An order must come from this page.'],
  ['lights.example.org:8350', 'https://other.example.org', 'An order must come from this page.'],
])('takes an order at %s from %s over TLS only from itself', (host, origin, refusal) => {
  const headers: Record<string, string> = { host, origin, 'content-type': 'application/json' };
  const names = ['lights.example.org', '192.0.2.10', 'FD12::7'];
  const request = { method: 'POST', header: (name: string) => headers[name] };
  expect(requestRefusal(request, { boundTo: '0.0.0.0', names, isTls: true })).toBe(refusal);
  const foreign = { method: 'GET', header: () => 'rebound.example.org:8350' };
  expect(requestRefusal(foreign, { boundTo: '0.0.0.0', names, isTls: true })).toMatch(
    /^This page is not served under that name; open it at lights\.example\.org/,
  );
});
