// A number and its unit stay on one line.

const UNIT = /(?<=\d) (?=%|(?:ms|s|cm|m|Hz|strides?)(?![\p{L}\p{N}]))/gu;

export function tied(words) { return String(words ?? "").replace(UNIT, "\u00a0"); }

export function tiedRows(table) { return table && { head: table.head, rows: table.rows.map((row) => row.map(tied)) }; }
