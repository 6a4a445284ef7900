// The numbers of the page, as src/report/page_data.cpp wrote them.

function bytesOf(base64) {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; ++i) bytes[i] = text.charCodeAt(i);
  return bytes;
}

// Little-endian, as every machine that runs a browser is.
function decodeColumn(column) {
  const bytes = bytesOf(column.data);
  if (column.as === 'f32') return Float64Array.from(new Float32Array(bytes.buffer));
  const codes = column.as === 'log8' ? bytes : new Uint16Array(bytes.buffer);
  const none = column.as === 'log8' ? 255 : 65535;
  const values = new Float64Array(codes.length);
  const back = column.as === 'lin16' ? (v) => v : Math.exp;
  for (let i = 0; i < codes.length; ++i) {
    const code = codes[i];
    values[i] = code === none ? NaN
      : code === 0 ? 0
      : back(column.low + (code - 1) * column.step);
  }
  return values;
}

// How far a value of the page may be from the one that was measured.
function toleranceOf(column, unit) {
  if (column.as === 'f32') return 'to 7 digits';
  if (column.as !== 'lin16') return `to ${shortNumber(50 * column.step)} %`;
  return `to ${shortNumber(column.step / 2)} ${unit}`;
}

function shortNumber(value, digits = 4) {
  if (!Number.isFinite(value)) return 'no value';
  if (value === 0) return '0';
  const size = Math.abs(value);
  if (size >= 1e7 || size < 1e-5) return value.toExponential(digits - 1);
  return String(Number(value.toPrecision(digits)));
}
