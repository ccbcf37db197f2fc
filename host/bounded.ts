// Reading what another machine answers, which may never end.

/**
 * The body of an answer.
 * @throws Error with the rest of a sentence once it has more than `most` bytes; the rest is then not read
 */
export async function bodyOf(response: Response, most: number): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  const reader = response.body?.getReader();
  for (let bytes = 0; reader; ) {
    const { done, value } = await reader.read();
    if (done) break;
    bytes += value.length;
    if (bytes > most) {
      await reader.cancel();
      throw new Error(`its answer has more than ${most} bytes`);
    }
    parts.push(value);
  }
  return new Uint8Array(Buffer.concat(parts));
}
