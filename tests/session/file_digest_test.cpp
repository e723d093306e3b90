// SHA-256 against the worked examples that NIST publishes with FIPS 180-4 ("SHA256.pdf" of its
// cryptographic toolkit: "abc"; FIPS 180-2 appendix B.3: a million letters a) and, for the empty
// message, against NIST's CAVP byte-oriented short-message vectors (Len = 0).
#include "libkinetics/session/file_digest.h"

#include <string>

#include <catch2/catch.hpp>

#include "tests/media/made_clip.h"

using kinetics::sha256_of_file;
using namespace kinetics_test;

namespace {

constexpr std::uintmax_t kNoLimit = std::uintmax_t{1} << 40U;

std::string digest_of(const std::string& bytes) {
  const Folder folder;
  spill(folder / "file", bytes);
  return sha256_of_file(folder / "file", kNoLimit);
}

}  // namespace

TEST_CASE("a file's SHA-256 is the one the standard's examples give", "[session]") {
  CHECK(digest_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(digest_of("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(digest_of(std::string(1'000'000, 'a')) ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("a file over the limit or not there has no digest", "[session]") {
  const Folder folder;
  spill(folder / "file", "abc");
  CHECK(sha256_of_file(folder / "file", 3).size() == 64);
  CHECK(sha256_of_file(folder / "file", 2).empty());
  CHECK(sha256_of_file(folder / "missing", kNoLimit).empty());
}
