/** Names of the two faces of the drawing; single words, because the map library hands them to a canvas unquoted. */
export const SERIF = 'DrawingSerif';
export const SERIF_ITALIC = 'DrawingSerifItalic';
export const SANS = 'DrawingSans';
