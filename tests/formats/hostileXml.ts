// Texts that make a careless XML reader go back over what it has read: each is one piece many times over, or one very
// long tag.
const PIECES = [
  '<',
  '<a',
  '<a b="',
  '<!--',
  '<![CDATA[',
  '</a>',
  '&#x0;',
  '<a b=c ',
  '<!DOCTYPE [',
  '<!x>',
  '<![CDATA[]]>',
  '<a b>',
  '<a b="c"/>',
] as const;

/** `times` of each piece; the long tags have ten times as many characters. */
export const hostileXml = (times: number): readonly string[] => [
  ...PIECES.map((piece) => piece.repeat(times)),
  `<a ${'x'.repeat(10 * times)}>`,
  `<b ${'x '.repeat(5 * times)}>`,
];
