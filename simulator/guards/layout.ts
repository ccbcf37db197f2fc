// Where the parts of the guard board stand on the drawing, and the wires between them. Which pins a wire joins is not
// said here: the tests read it off the drawing and compare it with the circuit.

export type Point = [x: number, y: number];

/** The first pin of a two-pin part, the gate of a MOSFET, or the upper left corner of a chip. */
export interface Place {
  at: Point;
  /** Where a two-pin part leads to from its first pin. */
  to?: 'right' | 'down' | 'left' | 'up';
}

/** A name at the end of a wire: all wires with the same name are one net. */
export interface Flag {
  at: Point;
  net: string;
  side: 'left' | 'right' | 'up' | 'down';
}

export const SHEET = { width: 1320, height: 990 };

export const PLACES: { [part: string]: Place } = {
  F1: { at: [1040, 70], to: 'down' },
  R19: { at: [960, 60], to: 'left' },
  C4: { at: [870, 80], to: 'down' },
  Q3: { at: [1010, 200] },
  R10: { at: [920, 200], to: 'up' },
  R9: { at: [800, 200], to: 'right' },
  K1: { at: [1040, 260], to: 'down' },
  D1: { at: [1110, 320], to: 'up' },
  R15: { at: [1200, 210], to: 'down' },
  Q1: { at: [1010, 390] },
  Q2: { at: [1010, 490] },
  R1: { at: [90, 410], to: 'right' },
  R2: { at: [165, 430], to: 'down' },
  Q4: { at: [220, 410] },
  R3: { at: [250, 280], to: 'down' },
  U1: { at: [330, 330] },
  R4: { at: [370, 230], to: 'down' },
  C1: { at: [390, 310], to: 'right' },
  R5: { at: [540, 390], to: 'right' },
  R6: { at: [630, 410], to: 'down' },
  R7: { at: [740, 490], to: 'right' },
  R8: { at: [820, 510], to: 'down' },
  R20: { at: [930, 510], to: 'down' },
  S1: { at: [60, 570], to: 'down' },
  R16: { at: [60, 650], to: 'down' },
  U3: { at: [110, 720] },
  R17: { at: [240, 750], to: 'right' },
  R12: { at: [370, 690], to: 'right' },
  R11: { at: [430, 750], to: 'left' },
  C2: { at: [370, 810], to: 'right' },
  U2: { at: [510, 650] },
  D2: { at: [640, 600], to: 'left' },
  R18: { at: [710, 750], to: 'right' },
  H1: { at: [800, 770], to: 'down' },
  C3: { at: [680, 900], to: 'down' },
  R14: { at: [780, 900], to: 'down' },
  R13: { at: [930, 880], to: 'left' },
};

export const WIRES: Point[][] = [
  // supply and fuse
  [
    [1040, 50],
    [1040, 70],
  ],
  [
    [1040, 60],
    [960, 60],
  ],
  [
    [900, 60],
    [840, 60],
  ],
  [
    [870, 60],
    [870, 80],
  ],
  [
    [1040, 130],
    [1040, 170],
  ],
  [
    [920, 140],
    [1040, 140],
  ],
  [
    [1040, 150],
    [1200, 150],
    [1200, 210],
  ],
  // the timer's switch
  [
    [860, 200],
    [1010, 200],
  ],
  // coil
  [
    [1040, 230],
    [1040, 260],
  ],
  [
    [1040, 245],
    [1110, 245],
    [1110, 260],
  ],
  [
    [1040, 320],
    [1040, 360],
  ],
  [
    [1040, 340],
    [1110, 340],
    [1110, 320],
  ],
  [
    [1110, 340],
    [1200, 340],
    [1200, 270],
  ],
  [
    [1200, 340],
    [1225, 340],
  ],
  [
    [1040, 420],
    [1040, 460],
  ],
  // pulse detector
  [
    [150, 410],
    [220, 410],
  ],
  [
    [165, 410],
    [165, 430],
  ],
  [
    [250, 340],
    [250, 380],
  ],
  [
    [250, 370],
    [330, 370],
  ],
  [
    [370, 290],
    [370, 330],
  ],
  [
    [370, 310],
    [390, 310],
  ],
  [
    [510, 390],
    [540, 390],
  ],
  [
    [600, 390],
    [1010, 390],
  ],
  [
    [630, 390],
    [630, 410],
  ],
  // enable
  [
    [800, 490],
    [1010, 490],
  ],
  [
    [820, 490],
    [820, 510],
  ],
  [
    [930, 490],
    [930, 510],
  ],
  // button
  [
    [60, 630],
    [60, 650],
  ],
  [
    [60, 710],
    [60, 750],
    [110, 750],
  ],
  [
    [220, 750],
    [240, 750],
  ],
  [
    [180, 790],
    [180, 850],
    [470, 850],
    [470, 750],
  ],
  // oscillator
  [
    [300, 750],
    [330, 750],
  ],
  [
    [330, 750],
    [370, 750],
  ],
  [
    [330, 690],
    [330, 810],
  ],
  [
    [330, 690],
    [370, 690],
  ],
  [
    [330, 810],
    [370, 810],
  ],
  [
    [430, 690],
    [510, 690],
  ],
  [
    [430, 750],
    [510, 750],
  ],
  [
    [430, 810],
    [510, 810],
  ],
  [
    [580, 600],
    [480, 600],
    [480, 690],
  ],
  [
    [640, 600],
    [700, 600],
    [700, 690],
  ],
  [
    [670, 690],
    [740, 690],
  ],
  // lamp
  [
    [670, 750],
    [710, 750],
  ],
  [
    [770, 750],
    [800, 750],
    [800, 770],
  ],
  // reset
  [
    [590, 850],
    [590, 880],
    [870, 880],
  ],
  [
    [680, 880],
    [680, 900],
  ],
  [
    [780, 880],
    [780, 900],
  ],
];

export const FLAGS: Flag[] = [
  { at: [1040, 50], net: 'supply', side: 'up' },
  { at: [840, 60], net: 'vdd', side: 'left' },
  { at: [800, 200], net: 'over', side: 'left' },
  { at: [1225, 340], net: 'low', side: 'right' },
  { at: [90, 410], net: 'drive', side: 'left' },
  { at: [250, 280], net: 'vdd', side: 'up' },
  { at: [370, 230], net: 'vdd', side: 'up' },
  { at: [490, 330], net: 'vdd', side: 'up' },
  { at: [740, 490], net: 'enable', side: 'left' },
  { at: [60, 570], net: 'fed', side: 'up' },
  { at: [1200, 150], net: 'fed', side: 'right' },
  { at: [560, 650], net: 'vdd', side: 'up' },
  { at: [740, 690], net: 'over', side: 'right' },
  { at: [930, 880], net: 'low', side: 'right' },
  ...(
    [
      [870, 140],
      [1040, 520],
      [165, 490],
      [250, 440],
      [450, 310],
      [630, 470],
      [820, 570],
      [930, 570],
      [800, 830],
      [680, 960],
      [780, 960],
    ] as Point[]
  ).map((at): Flag => ({ at, net: '0', side: 'down' })),
];

/** Words on the sheet. */
export const HEADINGS: { at: Point; text: string }[] = [
  { at: [60, 200], text: 'Pulse detector' },
  { at: [745, 450], text: 'Enable' },
  { at: [150, 560], text: 'Hardware timer' },
  { at: [1120, 60], text: 'Coil and supply' },
];
