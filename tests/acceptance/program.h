#pragma once

#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>
#include <sys/types.h>

/// Runs the command line program as a person or a script does. POSIX only.
namespace greywright::acceptance {

using Json = nlohmann::ordered_json;
using Words = std::vector<std::string>;

/// How a run ended and what it said.
struct Answer {
    int code = -1;  ///< exit code; -1 when it was killed
    std::string out;
    std::string err;

    /// Standard output as the one JSON object it has to be; a discarded value when it is anything else.
    [[nodiscard]] Json json() const;
    /// The code of the error in the JSON object; empty when there is none.
    [[nodiscard]] std::string errorCode() const;
};

/// What surrounds a run.
struct Surroundings {
    std::map<std::string, std::string> environment = {};  ///< beside PATH; nothing else is inherited
    std::string program = {};           ///< another copy of it; empty: the one that was built
    std::string folder = {};            ///< to work in; empty: where the test works
    std::string outTo = {};             ///< a file to be standard output instead
    std::function<void()> before = {};  ///< called in the new process before the program
};

/// A run that goes on while the test does.
class Going {
  public:
    explicit Going(const Words& words, const Surroundings& surroundings = {});
    ~Going();
    Going(const Going&) = delete;
    Going& operator=(const Going&) = delete;

    /// Sends it a signal, e.g. SIGINT, as Ctrl-C does.
    void signal(int number) const;

    /// Waits for its end.
    [[nodiscard]] Answer finish();

  private:
    struct Close {
        void operator()(std::FILE* file) const { std::fclose(file); }
    };
    std::unique_ptr<std::FILE, Close> out_, err_;
    pid_t process_ = 0;
};

/// Runs the program to its end.
[[nodiscard]] Answer run(const Words& words, const Surroundings& surroundings = {});

}  // namespace greywright::acceptance
