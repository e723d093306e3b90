#pragma once

#include <optional>
#include <set>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

/// Reading plain structs from JSON objects, with the place of every mistake in the message.
///
/// For source files only: no header of the samples shows JSON.

namespace render {

/// Reads the fields of one JSON object and complains about any it was not asked for.
///
/// A struct is read by a function read_fields(const json&, Struct&, where) in its own namespace.
class Fields {
 public:
  using json = nlohmann::json;

  Fields(const json& from, std::string where) : from_(from), where_(std::move(where)) {
    if (!from.is_object()) throw std::runtime_error(where_ + ": must be an object in braces");
  }
  template <typename T>
  Fields& get(const char* name, T& field) {
    known_.insert(name);
    const auto found = from_.find(name);
    if (found == from_.end()) return *this;
    try {
      read(*found, field, where_ + "." + name);
    } catch (const json::exception&) {
      throw std::runtime_error(where_ + "." + name + ": has the wrong kind of value");
    }
    return *this;
  }
  Fields& allow(const char* name) {
    known_.insert(name);
    return *this;
  }
  Fields& in_range(const char* name, double value, double lo, double hi) {
    if (!(value >= lo && value <= hi))
      throw std::runtime_error(where_ + "." + name + ": " + json(value).dump() +
                               " is out of range; use " + json(lo).dump() + " to " +
                               json(hi).dump());
    return *this;
  }
  /// The value must be one of the words.
  Fields& one_of(const char* name,
                 const std::string& value,
                 const std::vector<const char*>& words) {
    std::string all;
    for (const char* word : words) {
      if (value == word) return *this;
      all += std::string(" ") + word;
    }
    throw std::runtime_error(where_ + "." + name + ": \"" + value +
                             "\" does not exist; use one of" + all);
  }
  void done() const {
    for (const auto& item : from_.items())
      if (!known_.contains(item.key())) {
        std::string all;
        for (const std::string& name : known_) all += " " + name;
        throw std::runtime_error(where_ + "." + item.key() + ": no such field; there are:" + all);
      }
  }

 private:
  template <typename T>
  static void read(const json& j, T& field, const std::string& where) {
    if constexpr (requires { read_fields(j, field, where); })
      read_fields(j, field, where);
    else
      j.get_to(field);
  }
  template <typename T>
  static void read(const json& j, std::optional<T>& field, const std::string& where) {
    T value{};
    read(j, value, where);
    field = std::move(value);
  }
  template <typename T>
  static void read(const json& j, std::vector<T>& list, const std::string& where) {
    if (!j.is_array()) throw std::runtime_error(where + ": must be a list in brackets");
    list.clear();
    for (std::size_t i = 0; i < j.size(); ++i) {
      T item{};
      read(j[i], item, where + "[" + std::to_string(i) + "]");
      list.push_back(std::move(item));
    }
  }

  const json& from_;
  std::string where_;
  std::set<std::string> known_;
};

}  // namespace render
