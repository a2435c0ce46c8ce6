/** The two papers the drawing is made on. Every line that carries meaning has at least 3:1 on its ground, every text 4.5:1. */
export type Ink = {
  readonly name: 'paper' | 'blueprint';
  readonly paper: string;
  /** Main line and text. */
  readonly line: string;
  /** Second line: edges, limits, notes. */
  readonly soft: string;
  /** Texture on a wash; never carries meaning alone. */
  readonly faint: string;
  readonly lawn: string;
  readonly planting: string;
  readonly water: string;
  readonly paving: string;
  readonly building: string;
  readonly road: string;
  readonly keepOut: string;
  /** Only for what the person is touching now. */
  readonly accent: string;
};

export const INKS: Readonly<Record<Ink['name'], Ink>> = {
  paper: {
    name: 'paper',
    paper: '#f7f2e6',
    line: '#1f1e1a',
    soft: '#57534a',
    faint: '#8f8c78',
    lawn: '#e3e8cd',
    planting: '#cdd7b0',
    water: '#cfe0e3',
    paving: '#ece3d3',
    building: '#d9cfbe',
    road: '#e4ded2',
    keepOut: '#efe6d2',
    accent: '#a8420c',
  },
  blueprint: {
    name: 'blueprint',
    paper: '#1a2a3a',
    line: '#eef3f5',
    soft: '#b4c4d0',
    faint: '#6d8496',
    lawn: '#233a48',
    planting: '#2a4648',
    water: '#1c3c57',
    paving: '#26344a',
    building: '#31445a',
    road: '#223044',
    keepOut: '#2b3850',
    accent: '#ffb65c',
  },
};
