/* A firmware that is not the tester's: says a word ten times a second at 9600 baud and hears nothing. */
#include <avr/io.h>
#include <util/delay.h>

int main(void) {
  UBRR0 = F_CPU / 16 / 9600 - 1;
  UCSR0B = _BV(TXEN0);
  for (;;) {
    for (const char *word = "count 17\r\n"; *word; word++) {
      while (!(UCSR0A & _BV(UDRE0))) {
      }
      UDR0 = *word;
    }
    _delay_ms(100);
  }
}
