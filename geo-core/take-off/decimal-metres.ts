import Big from 'big.js';

/** A measured length as a decimal: what floating point leaves below a micrometre is dust and no length. */
export function decimalMetres(lengthM: number): Big {
  return new Big(lengthM).round(6, Big.roundHalfUp);
}
