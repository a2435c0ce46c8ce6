/** Said in one line on standard error; nothing of ours is wrong. */
export class WrongCall extends Error {}
