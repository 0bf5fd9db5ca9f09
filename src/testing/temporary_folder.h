#pragma once

#include <atomic>
#include <cstddef>
#include <filesystem>
#include <iterator>
#include <string>

#include "core/platform.h"

namespace greywright::testing {

/// An empty folder for one test, removed with everything in it afterwards.
class TemporaryFolder {
  public:
    TemporaryFolder() {
        static std::atomic<int> next{0};
        path_ =
            std::filesystem::temp_directory_path() /
            ("greywright-test-" + std::to_string(platform::processNumber()) + "-" + std::to_string(next++));
        std::filesystem::remove_all(path_);
        std::filesystem::create_directories(path_);
    }
    ~TemporaryFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;

    [[nodiscard]] const std::filesystem::path& path() const { return path_; }
    [[nodiscard]] std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

    /// How many entries it holds now.
    [[nodiscard]] std::size_t count() const {
        return static_cast<std::size_t>(std::distance(std::filesystem::directory_iterator(path_), {}));
    }

  private:
    std::filesystem::path path_;
};

}  // namespace greywright::testing
