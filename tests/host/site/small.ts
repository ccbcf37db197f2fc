/** A site file of one circuit without mistakes. */
export const SMALL = `id: mill
name: The old mill
timeZone: Europe/London
responsible: A Miller
testWindows:
  - { days: [mon, tue], from: "23:00", to: "04:00" }
opening: []
floors:
  - { id: ground, name: Ground }
areas:
  - { id: hall, name: Hall, floor: ground, adjacent: [loft] }
  - { id: loft, name: Loft, floor: ground }
circuits:
  - id: one
    name: Circuit one
    floor: ground
    ratedMinutes: 180
    chemistry: NiMH
    batteryFitted: 2024-02-29
    luminaires:
      - { id: A-1, place: Door, area: hall, mode: maintained, batteryMilliamps: 100, mainsMilliamps: 120 }
      - { id: A-2, place: Ladder, area: loft, mode: non-maintained, batteryMilliamps: 150, ratedMinutes: 60 }
`;

/** A witness's key in its form. */
export const WITNESS_KEY = 'gatehouse+9bf46849+BIE5dw6ofRdfVqNUZsNMfszLjYqRtO43ol32D1uPybOU';
