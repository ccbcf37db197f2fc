// The host's own key: it signs the checkpoints of the log book, and anyone may know its public half.
import { type NoteSigner, noteSigner } from './ed25519';
import { KeyType } from './verifierKey';

/** What a key is derived from, see KeyRing. */
interface Seeds {
  seedFor(use: string): Uint8Array;
}

/** Name of a site's log and of its key. */
export function logOrigin(site: string): string {
  return `nightproof/${site}`;
}

/** The site whose log has this name. */
export function siteOfOrigin(origin: string): string {
  return origin.slice('nightproof/'.length);
}

export function hostSigner(keys: Seeds, site: string): NoteSigner {
  return noteSigner(logOrigin(site), KeyType.Note, keys.seedFor('checkpoint key'));
}

/** The key of a witness. It signs nothing but checkpoints it has seen. */
export function witnessSigner(keys: Seeds, name: string): NoteSigner {
  return noteSigner(name, KeyType.Cosignature, keys.seedFor('witness key'));
}
