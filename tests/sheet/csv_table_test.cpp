// Cells come back as they were written, whatever stands in them. Layout as in RFC 4180; Python's
// csv module, which shares no code with us, reads what we write.
#include "libkinetics/sheet/csv_table.h"

#include <random>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "tests/media/made_clip.h"
#include "tests/support/python.h"

using namespace kinetics;
using Catch::Contains;
using Rows = std::vector<std::vector<std::string>>;

TEST_CASE("rows and cells are those of RFC 4180", "[sheet]") {
  CHECK(read_csv("a,b\r\nc,d\r\n", ',', "s").rows == Rows{{"a", "b"}, {"c", "d"}});
  CHECK(read_csv("a,b\nc,d", ',', "s").rows == Rows{{"a", "b"}, {"c", "d"}});
  CHECK(read_csv("a,b\rc,d\r", ',', "s").rows == Rows{{"a", "b"}, {"c", "d"}});
  CHECK(read_csv("\"a,1\",\"say \"\"go\"\"\"\n", ',', "s").rows == Rows{{"a,1", "say \"go\""}});
  CHECK(read_csv("\"two\nlines\",x\n", ',', "s").rows == Rows{{"two\nlines", "x"}});
  CHECK(read_csv("a,,\n,,\n", ',', "s").rows == Rows{{"a", "", ""}, {"", "", ""}});
}

TEST_CASE("an empty line is a row, so that rows keep the numbers of a spreadsheet", "[sheet]") {
  CHECK(read_csv("a\n\n\nb\n", ',', "s").rows == Rows{{"a"}, {}, {}, {"b"}});
  CHECK(read_csv("a\r\n\r\nb\r\n", ',', "s").rows == Rows{{"a"}, {}, {"b"}});
}

TEST_CASE("spaces around cells do not count, those within quotes do", "[sheet]") {
  CHECK(read_csv(" a ,  b\n\" c \",d \n", ',', "s").rows == Rows{{"a", "b"}, {" c ", "d"}});
}

TEST_CASE("a mark of inches in a cell is no quotation", "[sheet]") {
  CHECK(read_csv("15\" box,b\n", ',', "s").rows == Rows{{"15\" box", "b"}});
}

TEST_CASE("a byte order mark is no part of the first cell", "[sheet]") {
  const CsvTable table = read_csv("\xEF\xBB\xBFlifter;lift\r\n", ';', "s");
  CHECK(table.rows == Rows{{"lifter", "lift"}});
  CHECK(to_text(table) == "\xEF\xBB\xBFlifter;lift\r\n");
}

TEST_CASE("a quotation without end is told where it begins", "[sheet][bad-input]") {
  CHECK_THROWS_WITH(read_csv("a,b\nc,\"d\n1,2\n3,4\n", ',', "s.csv"),
                    Contains("s.csv row 2, column B") && Contains("never ends"));
}

TEST_CASE("what is not UTF-8 is told with row and column", "[sheet][bad-input]") {
  const std::string latin1 = "a,b\nc,J\xFCrgen\n";
  CHECK_THROWS_WITH(read_csv(latin1, ',', "s.csv"),
                    Contains("s.csv row 2, column B") && Contains("UTF-8"));
  for (const std::string bad :
       {"\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80", "\xF5\x80\x80\x80", "\xC3"}) {
    CHECK_THROWS_WITH(read_csv(bad, ',', "s.csv"), Contains("UTF-8"));  // RFC 3629
  }
  CHECK(read_csv("\xF0\x9F\x8F\x8B,\xE2\x82\xAC\n", ',', "s").rows.size() == 1);
  CHECK_THROWS_WITH(read_csv(std::string("\xFF\xFE"
                                         "a\0",
                                         4),
                             ',',
                             "s.csv"),
                    Contains("UTF-16"));
  CHECK_THROWS_WITH(read_csv(std::string("a\0b", 3), ',', "s.csv"), Contains("not text"));
}

TEST_CASE("any table is the same after writing and reading", "[sheet]") {
  const std::uint32_t seed = GENERATE(range(0U, 60U));
  std::mt19937 engine(seed);
  const auto below = [&](int n) { return std::uniform_int_distribution<int>(0, n - 1)(engine); };
  const std::vector<std::string> pieces{
      "a", "12,5", "\"", " ", "\n", ";", "\t", "|", "é", "0", "\r", "=1+1", "'", "long chain"};
  CsvTable table;
  table.delimiter = std::string(",;\t|")[static_cast<std::size_t>(below(4))];
  table.byte_order_mark = below(2) == 1;
  table.carriage_returns = below(2) == 1;
  for (int r = below(6) + 1; r > 0; --r) {
    std::vector<std::string> row;
    for (int c = below(5); c > 0; --c) {
      std::string cell;
      for (int k = below(4); k > 0; --k) cell += pieces[static_cast<std::size_t>(below(14))];
      row.push_back(cell);
    }
    table.rows.push_back(row);
  }
  const std::string text = to_text(table);
  CAPTURE(seed, text);
  const CsvTable again = read_csv(text, table.delimiter, "s");
  CHECK(again.rows == table.rows);
  CHECK(to_text(again) == text);
}

TEST_CASE("Python reads what we write", "[sheet]") {
  const kinetics_test::Folder folder;
  CsvTable table;
  table.rows = {{"a,b", "say \"go\"", "two\nlines"}, {"", "x", " y "}, {"1", "2", "3"}};
  kinetics_test::spill(folder / "t.csv", to_text(table));
  const std::string told =
      kinetics_test::python(folder / "read.py",
                            "import csv, sys\n"
                            "print(list(csv.reader(open(sys.argv[1], newline=''))))\n",
                            "'" + (folder / "t.csv") + "'");
  CHECK(told == "[['a,b', 'say \"go\"', 'two\\nlines'], ['', 'x', ' y '], ['1', '2', '3']]\n");
}

TEST_CASE("columns are lettered as in a spreadsheet", "[sheet]") {
  CHECK(column_letters(0) == "A");
  CHECK(column_letters(25) == "Z");
  CHECK(column_letters(26) == "AA");
  CHECK(column_letters(51) == "AZ");
  CHECK(column_letters(52) == "BA");
  CHECK(column_letters(701) == "ZZ");
  CHECK(column_letters(702) == "AAA");
}

TEST_CASE("a byte-order mark behind blanks is a cell's own and is not lost", "[sheet]") {
  const CsvTable table = read_csv(" \xEF\xBB\xBFSet,Lift\n", ',', "s.csv");
  CHECK_FALSE(table.byte_order_mark);
  CHECK(read_csv(to_text(table), ',', "s.csv").rows == table.rows);
}
