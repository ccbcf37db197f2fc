// The broker's URL as people may see it, and how the host logs in there.
import type { KeyRing } from '../keys';
import { type Login, loginOf } from './logins';
import { HOST_CLIENT } from './parties';

/** A broker's URL for a line or a log: without the password in it, which may itself contain "@" or "/". */
export function withoutPassword(url: string): string {
  return url.replace(/^(\w+:\/\/)(.*)@/, (_all, scheme: string, user: string) => {
    const name = user.split(':')[0];
    return `${scheme}${name}${user.includes(':') ? ':***' : ''}@`;
  });
}

/**
 * How the host logs in to a broker: as its URL says; with the password of the site secret if that names the host's
 * user and no password (see `broker-files`).
 */
export function hostLogin(url: string, keys: KeyRing): Login | undefined {
  const [, user = ''] = /^\w+:\/\/([^/@]*)@/.exec(url) ?? [];
  return user === HOST_CLIENT ? loginOf(keys, user) : undefined;
}
