/** Which screen is open, by the address behind the #. */

/** Goes to another screen. */
export function go(hash: string): void {
  location.hash = hash;
}
