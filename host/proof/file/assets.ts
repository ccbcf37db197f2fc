// The verifier as two texts, prebuilt, so that the host needs no compiler.
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { VerifierAssets } from './html';

/** @throws Error in one sentence if the verifier was not built. */
export async function loadVerifier(): Promise<VerifierAssets> {
  const { resolve } = createRequire(import.meta.url);
  try {
    const [script, style] = await Promise.all(
      ['js', 'css'].map((kind) => readFile(resolve(`#root/build/proof/verifier.${kind}`), 'utf8')),
    );
    return { script: script.trim(), style: style.trim() };
  } catch {
    throw new Error('The verifier of proofs is not built: run `npm run build`, then try again.');
  }
}
