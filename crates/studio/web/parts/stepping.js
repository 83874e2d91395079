// Fires 'stepped' when the painter has undone or redone: what was refused, or is not entered yet, gives way to what the painting holds.

export const stepping = new EventTarget();
