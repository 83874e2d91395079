// What is typed and not yet sent to the studio: the notebook's head does not say “Saved” meanwhile, and whoever leaves is asked first.

class Unsent extends EventTarget {
  /** @type {Map<object, string>} */
  #by = new Map();

  /** How the last of it stands, in words; blank when all is sent. */
  get words() {
    return [...this.#by.values()].pop() ?? '';
  }

  /** Fires 'changed' when it is no longer as it was. @param {object} by what holds it, such as a field @param {string} words blank when it is sent */
  set(by, words) {
    if ((this.#by.get(by) ?? '') === words) return;
    if (words) this.#by.set(by, words);
    else this.#by.delete(by);
    this.dispatchEvent(new Event('changed'));
  }

  /** Of a field: what differs from what stands is typed and not sent. @param {HTMLInputElement} input @param {string} stands */
  typed(input, stands) {
    this.set(input, input.value === stands ? '' : 'Enter keeps it');
  }
}

export const unsent = new Unsent();

// A tablet puts pages away without a question: what stands in a field is entered then, as whenever the field is left.
document.addEventListener('visibilitychange', () => {
  const field = document.activeElement;
  if (document.hidden && (field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement)) field.blur();
});
