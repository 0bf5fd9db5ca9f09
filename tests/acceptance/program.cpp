#include "program.h"

#include <array>
#include <csignal>
#include <cstdio>
#include <cstdlib>

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/contract.h"

namespace greywright::acceptance {
namespace {

std::string contentOf(std::FILE* file) {
    std::rewind(file);
    std::string all;
    std::array<char, 4096> part{};
    for (std::size_t got = 0; (got = std::fread(part.data(), 1, part.size(), file)) > 0;) {
        all.append(part.data(), got);
    }
    return all;
}

std::vector<char*> pointersTo(Words& words) {
    std::vector<char*> pointers;
    pointers.reserve(words.size() + 1);
    for (std::string& word : words) pointers.push_back(word.data());
    pointers.push_back(nullptr);
    return pointers;
}

}  // namespace

Json Answer::json() const {
    Json value = Json::parse(out, nullptr, false);
    return value.is_object() ? value : Json(Json::value_t::discarded);
}

std::string Answer::errorCode() const {
    const Json value = json();
    if (!value.is_object() || !value.contains("error")) return {};
    return value["error"].value("code", "");
}

Going::Going(const Words& words, const Surroundings& surroundings)
    : out_(std::tmpfile()), err_(std::tmpfile()) {
    expects(out_ && err_, "temporary files for what the program says");
    Words arguments = words;
    arguments.insert(arguments.begin(),
                     surroundings.program.empty() ? GREYWRIGHT_PROGRAM : surroundings.program);
    Words environment;
    const char* path = std::getenv("PATH");
    environment.push_back(std::string("PATH=") + (path != nullptr ? path : ""));
    for (const auto& [name, value] : surroundings.environment) environment.push_back(name + "=" + value);
    const std::vector<char*> argumentPointers = pointersTo(arguments);
    const std::vector<char*> environmentPointers = pointersTo(environment);

    process_ = fork();
    expects(process_ >= 0, "a process");
    if (process_ != 0) return;
    const int out =
        surroundings.outTo.empty() ? fileno(out_.get()) : open(surroundings.outTo.c_str(), O_WRONLY);
    const int nothing = open("/dev/null", O_RDONLY);
    if (out < 0 || dup2(nothing, STDIN_FILENO) < 0 || dup2(out, STDOUT_FILENO) < 0) _exit(126);
    if (dup2(fileno(err_.get()), STDERR_FILENO) < 0) _exit(126);
    if (!surroundings.folder.empty() && chdir(surroundings.folder.c_str()) != 0) _exit(126);
    if (surroundings.before) surroundings.before();
    execve(argumentPointers.front(), argumentPointers.data(), environmentPointers.data());
    _exit(127);
}

Going::~Going() {
    if (process_ > 0) static_cast<void>(finish());
}

void Going::signal(int number) const {
    expects(process_ > 0 && kill(process_, number) == 0, "a run that still goes on");
}

Answer Going::finish() {
    expects(process_ > 0, "a run that has not been waited for");
    int status = 0;
    expects(waitpid(process_, &status, 0) == process_, "the end of the run");
    process_ = 0;
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, contentOf(out_.get()), contentOf(err_.get())};
}

Answer run(const Words& words, const Surroundings& surroundings) {
    return Going(words, surroundings).finish();
}

}  // namespace greywright::acceptance
