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

/** The host's user for one of several buildings at a broker where a user has one connection. */
export function hostUserOf(site: string): string {
  return `${HOST_CLIENT}-${site}`;
}

const HOST_USER = new RegExp(`^${HOST_CLIENT}(-[a-z0-9-]{1,24})?$`);

function userIn(url: string): string {
  return /^\w+:\/\/([^/@]*)@/.exec(url)?.[1] ?? '';
}

/** The broker of several buildings for one of them: the host's user without a password stands for that of the building. */
export function brokerFor(site: string, url: string): string {
  return userIn(url) === HOST_CLIENT ? url.replace(`${HOST_CLIENT}@`, `${hostUserOf(site)}@`) : url;
}

/**
 * How the host logs in to a broker: as its URL says; with the password of the site secret if that names a user of the
 * host's and no password (see `broker-files`).
 */
export function hostLogin(url: string, keys: KeyRing): Login | undefined {
  const user = userIn(url);
  return HOST_USER.test(user) ? loginOf(keys, user) : undefined;
}
