// Wrapping: no line over the width, no word lost, UTF-8 characters never cut in two.
#include "libkinetics/report/text.h"

#include <sstream>
#include <string>

#include <catch2/catch.hpp>

using namespace kinetics;

TEST_CASE("text is broken at spaces and indented", "[report]") {
  CHECK(wrapped("one two three four", 9) == "one two\nthree\nfour\n");
  CHECK(wrapped("one two three", 9, "- ", "  ") == "- one two\n  three\n");
  CHECK(wrapped("", 9, "- ") == "- \n");
}

TEST_CASE("a word longer than the line is cut between characters", "[report]") {
  CHECK(wrapped("abcdefghij", 4) == "abcd\nefgh\nij\n");
  CHECK(wrapped("ääääää", 4) == "ääää\nää\n");
  CHECK(wrapped("x ääääää", 4, "", "> ") == "x\n> ää\n> ää\n> ää\n");
}

TEST_CASE("width counts characters, not bytes", "[report]") {
  CHECK(shown_width("± 0.3") == 5);
  CHECK(shown_width("") == 0);
}

TEST_CASE("control characters become visible", "[report][bad-input]") {
  CHECK(printable("a\tb\x1b[0m\x7f") == "a?b?[0m?");
  CHECK(printable("größe") == "größe");
}
