/** Numbers as people type them. */

/** A typed number as a number: spaces are dropped, thousands commas too, a lone comma is a decimal mark. */
export function parseNumber(text: string): number | null {
  const packed = text.replace(/[\s\u00a0\u202f]/g, "");
  const plain = /^[1-9]\d{0,2}(,\d{3})+(\.\d+)?$/.test(packed)
    ? packed.replaceAll(",", "")
    : packed.replace(",", ".");
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}
