/* The chip in real time, its line on a pseudo-terminal. */
#ifndef PANELBRIDGE_PACED_H
#define PANELBRIDGE_PACED_H

/* Until standard input ends. Prints "port PATH"; LINK becomes a link to it. */
int live(const char *link, int reset_on_open);

/* Of runner.c. */
void obey(const char *line);
void restart(void);

#endif
