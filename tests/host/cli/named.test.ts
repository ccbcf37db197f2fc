import { describe, expect, it } from 'vitest';
import { DEMO_SITE } from '../../../host/cli/arguments';
import { circuitOf, luminaireOf, named } from '../../../host/cli/named';
import { readSite } from '../../../host/cli/siteFile';

it('an id is meant in any capitals, where only one fits', () => {
  const all = [{ id: 'db1-l3' }, { id: 'Hall' }, { id: 'hall' }, { id: 'hAll' }];
  expect(named(all, 'DB1-L3')).toBe(all[0]);
  expect(named(all, 'hall')).toBe(all[2]);
  expect(named(all, 'HALL')).toBeUndefined();
  expect(named(all, 'db1')).toBeUndefined();
});

describe('an id on the command line', () => {
  const site = readSite(DEMO_SITE);

  it('is found in any capitals, for a circuit and a luminaire', () => {
    const { id } = site.circuits[0].luminaires[0];
    expect(luminaireOf(site, id.toLowerCase()).luminaire.id).toBe(id);
    expect(circuitOf(site, site.circuits[0].id.toUpperCase())).toBe(site.circuits[0]);
  });

  it.each<[string, string]>([
    ['ga-0', 'did you mean "GA-01", "GA-02" or "GA-03"?'],
    ['GA-O04', 'did you mean "GA-04"?'],
    ['the exit', 'give its id from the site file.'],
  ])('that no luminaire has, %s, is refused with the ids like it', (id, instead) => {
    expect(() => luminaireOf(site, id)).toThrow(
      expect.objectContaining({ message: `The site has no luminaire "${id}"; ${instead}` }),
    );
  });
});
