import jsQR from 'jsqr';
import encode from 'qr';
import { expect, it } from 'vitest';
import { inFours, rootCode } from '../../../../host/page/words/root';

const root = 'CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=';

it('writes the root in groups of four', () => {
  expect(inFours(root)).toBe('CsUY apGG Po4d kMgI AUqo m/Xa jj7h 2fB2 MPA3 j2jx q2I=');
});

it('draws a code that an independent reader reads as the signed lines', () => {
  const text = rootCode({ origin: 'nightproof/museum', size: 1_234_567, root });
  const rows = encode(text, 'raw', { ecc: 'medium', border: 4 });
  const scale = 6;
  const side = rows.length * scale;
  const pixels = new Uint8ClampedArray(4 * side * side).fill(255);
  for (let y = 0; y < side; y++)
    for (let x = 0; x < side; x++)
      if (rows[Math.floor(y / scale)][Math.floor(x / scale)])
        pixels.fill(0, 4 * (y * side + x), 4 * (y * side + x) + 3);
  expect(jsQR(pixels, side, side)?.data).toBe(
    'nightproof/museum\n1234567\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n',
  );
});
