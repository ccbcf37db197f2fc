// The page's languages without a browser: all tables at once, and the choice of one.
import { de } from '../../host/page/tongues/de';
import { en, type Words } from '../../host/page/tongues/en';
import { fr } from '../../host/page/tongues/fr';
import { it } from '../../host/page/tongues/it';
import type { Tongue } from '../../host/page/tongues/names';
import { speak as use } from '../../host/page/tongues/tongue';

export const TONGUES: Readonly<Record<Tongue, Words>> = { en, de, fr, it };

export function speak(tongue: Tongue): void {
  use(TONGUES[tongue]);
}
