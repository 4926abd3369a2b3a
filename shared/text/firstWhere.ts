/** The first index from 0 for which a test holds that holds for all after it, or `count`. Time O(log count). */
export function firstWhere(count: number, test: (index: number) => boolean): number {
  let low = 0;
  let high = count;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (test(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
}
