import { expect, it } from 'vitest';
import { requestRefusal } from '../../../host/server/guard';

it.each(['127.0.0.1', '127.0.0.2', 'localhost', '::1'])(
  'takes no foreign name that points to a page bound to %s',
  (boundTo) => {
    const asked = (host: string) =>
      requestRefusal({ method: 'GET', header: (name) => (name === 'host' ? host : undefined) }, boundTo);
    expect(asked('rebound.example.org:8350')).toMatch(/^This page is only for this machine/);
    expect(asked(`${boundTo === '::1' ? '[::1]' : boundTo}:8350`)).toBe('');
  },
);
