#include "main_window.h"

#include <QActionGroup>
#include <QApplication>
#include <QCloseEvent>
#include <QDesktopServices>
#include <QDir>
#include <QFileDialog>
#include <QFileInfo>
#include <QLabel>
#include <QListView>
#include <QLockFile>
#include <QMenuBar>
#include <QMessageBox>
#include <QMimeData>
#include <QPushButton>
#include <QScreen>
#include <QScrollBar>
#include <QSettings>
#include <QSplitter>
#include <QStackedWidget>
#include <QStandardPaths>
#include <QUrl>
#include <QVBoxLayout>
#include <algorithm>
#include <utility>

#include "application.h"
#include "bars.h"
#include "condition_page.h"
#include "core/platform.h"
#include "demo/demo.h"
#include "folder_watch.h"
#include "guide_window.h"
#include "jobs.h"
#include "models.h"
#include "read_dialog.h"
#include "section.h"
#include "start_page.h"
#include "text.h"

namespace greywright::desktop {
namespace {

constexpr int kSideWidth = 300;

QString bookFilter() {
    return MainWindow::tr("Books (*.greywright);;Any file (*)");
}

}  // namespace

MainWindow::MainWindow(QWidget* parent)
    : QMainWindow(parent),
      workspace_(tasks_),
      preferences_(Preferences::load()),
      stack_(new QStackedWidget),
      start_(new StartPage),
      book_(new QWidget),
      bookName_(nullptr),
      list_(new QListView),
      conditions_(new ConditionsModel(this)),
      right_(new QStackedWidget),
      hint_(new QWidget),
      messages_(new MessageBar),
      jobs_(new Jobs(workspace_, preferences_, this)),
      watch_(new FolderWatch(this)) {
    setWindowTitle(tr("Greywright"));
    setAcceptDrops(true);
    auto* whole = new QWidget;
    auto* column = new QVBoxLayout(whole);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(messages_);
    column->addWidget(stack_, 1);
    column->addWidget(new TaskBar(tasks_));
    setCentralWidget(whole);
    stack_->addWidget(start_);
    stack_->addWidget(book_);
    makeSide();
    makeMenus();

    connect(start_, &StartPage::startWanted, this, [this] {
        QString path = QFileDialog::getSaveFileName(
            this, tr("Start a book"), QDir::home().filePath(tr("prints") + QStringLiteral(".greywright")),
            bookFilter(), nullptr, QFileDialog::DontConfirmOverwrite);
        if (path.isEmpty()) return;
        if (QFileInfo(path).suffix().isEmpty()) path += QStringLiteral(".greywright");
        startBook(path);
    });
    connect(start_, &StartPage::openWanted, this, [this] {
        const QString path =
            QFileDialog::getOpenFileName(this, tr("Open a book"), QDir::homePath(), bookFilter());
        if (!path.isEmpty()) openBook(path);
    });
    connect(start_, &StartPage::inventedWanted, this,
            [this] { openInvented(Application::inventedFolder()); });
    connect(start_, &StartPage::bookWanted, this, &MainWindow::openBook);
    connect(&workspace_, &Workspace::opened, this, [this] {
        delete page_;  // of the book that was open before
        showOpened();
    });
    connect(&workspace_, &Workspace::changed, this, &MainWindow::showConditions);
    connect(&workspace_, &Workspace::failed, this, &MainWindow::fail);
    connect(&workspace_, &Workspace::closed, this, [this] {
        delete page_;
        start_->showBooks(preferences_.books);
        stack_->setCurrentWidget(start_);
        showOpened();
    });
    connect(jobs_, &Jobs::failed, this, &MainWindow::fail);
    connect(jobs_, &Jobs::said, this, [this](const QString& title, const QString& words) {
        messages_->say(MessageBar::Weight::word, title, words);
    });
    connect(jobs_, &Jobs::warned, this, [this](const QString& title, const QString& words) {
        messages_->say(MessageBar::Weight::warning, title, words);
    });
    connect(jobs_, &Jobs::conditionEntered, this, [this](const QString& name) {
        // The list hears of it a moment later.
        connect(
            &workspace_, &Workspace::changed, this, [this, name] { showCondition(name); },
            Qt::SingleShotConnection);
    });
    connect(jobs_, &Jobs::preferencesChanged, this, [this] {
        if (page_) page_->data().recompute();
    });
    connect(watch_, &FolderWatch::found, this, &MainWindow::readFiles);
    connect(watch_, &FolderWatch::lost, this, [this](const QString& folder) {
        messages_->say(MessageBar::Weight::warning, tr("The watched folder is gone"), folder);
    });
    start_->showBooks(preferences_.books);

    // As large as is comfortable, but never larger than the screen.
    const QSize screen = QGuiApplication::primaryScreen()->availableGeometry().size();
    setMinimumSize(QSize(640, 420).boundedTo(screen));
    resize(QSize(1440, 940).boundedTo(screen * 0.94));
    restoreGeometry(QSettings().value(QStringLiteral("window")).toByteArray());
}

MainWindow::~MainWindow() {
    tasks_.stopAll();
    delete page_;
}

void MainWindow::makeSide() {
    auto* row = new QHBoxLayout(book_);
    row->setContentsMargins(0, 0, 0, 0);
    auto* side = new QWidget;
    auto* column = new QVBoxLayout(side);
    column->setContentsMargins(12, 14, 0, 12);
    bookName_ = headingLabel(side, {}, 1.15);
    bookName_->setObjectName(QStringLiteral("bookName"));
    column->addWidget(bookName_);
    list_->setResizeMode(QListView::Adjust);  // words that wrap need more height where it is narrow
    list_->setModel(conditions_);
    list_->setItemDelegate(new ConditionDelegate(list_));
    list_->setFrameShape(QFrame::NoFrame);
    list_->setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
    list_->setObjectName(QStringLiteral("conditions"));
    list_->setAccessibleName(tr("Printing conditions"));
    column->addWidget(list_, 1);
    QPushButton* add = button(side, tr("&New condition…"), "newCondition");
    column->addWidget(add);
    connect(add, &QPushButton::clicked, jobs_, &Jobs::newCondition);

    auto* hint = new QVBoxLayout(hint_);
    hint->setContentsMargins(28, 40, 28, 28);
    hint->addWidget(headingLabel(hint_, tr("Enter your first printing condition"), 1.5));
    hint->addWidget(wordsLabel(
        hint_, tr("A printer, its inks, a paper and the monochrome mode you print with. Then make a "
                  "test sheet, print it, measure it, and drop the file onto this window.")));
    QPushButton* first = button(hint_, tr("Ne&w condition…"), "firstCondition");
    hint->addWidget(first, 0, Qt::AlignLeft);
    hint->addStretch(1);
    connect(first, &QPushButton::clicked, jobs_, &Jobs::newCondition);
    right_->addWidget(hint_);

    auto* splitter = new QSplitter(Qt::Horizontal);
    splitter->addWidget(side);
    splitter->addWidget(right_);
    splitter->setStretchFactor(1, 1);
    splitter->setChildrenCollapsible(false);
    splitter->setSizes({kSideWidth, 1100});
    row->addWidget(splitter);
    connect(list_->selectionModel(), &QItemSelectionModel::currentChanged, this,
            [this](const QModelIndex& current) {
                if (current.isValid()) showCondition(current.data(ConditionsModel::nameRole).toString());
            });
}

void MainWindow::makeMenus() {
    const auto add = [this](QMenu* menu, const QString& words, const QKeySequence& keys, auto action) {
        QAction* out = menu->addAction(words, this, action);
        out->setShortcut(keys);
        return out;
    };
    QMenu* book = menuBar()->addMenu(tr("&Book"));
    add(book, tr("&Start a book…"), QKeySequence::New, [this] { Q_EMIT start_->startWanted(); });
    add(book, tr("&Open a book…"), QKeySequence::Open, [this] { Q_EMIT start_->openWanted(); });
    add(book, tr("Look around in an &invented studio"), {}, [this] { Q_EMIT start_->inventedWanted(); });
    withBook_.push_back(add(book, tr("Chec&k that it is whole"), {}, [this] { jobs_->checkBook(); }));
    withBook_.push_back(
        add(book, tr("&Close the book"), QKeySequence::Close, [this] { workspace_.close(); }));
    book->addSeparator();
    add(book, tr("&Quit"), QKeySequence::Quit, [this] { close(); });

    QMenu* edit = menuBar()->addMenu(tr("&Edit"));
    // What was said of a change is over with the next one.
    connect(&workspace_.undo(), &QUndoStack::indexChanged, this, [this] { messages_->forget(); });
    QAction* undo = workspace_.undo().createUndoAction(this, tr("&Undo"));
    undo->setShortcut(QKeySequence::Undo);
    QAction* redo = workspace_.undo().createRedoAction(this, tr("&Redo"));
    redo->setShortcut(QKeySequence::Redo);
    edit->addActions({undo, redo});

    QMenu* condition = menuBar()->addMenu(tr("&Condition"));
    withBook_.push_back(add(condition, tr("&New condition…"), QKeySequence(Qt::CTRL | Qt::SHIFT | Qt::Key_N),
                            [this] { jobs_->newCondition(); }));
    withCondition_.push_back(add(condition, tr("&Read a measurement, scan or photograph…"),
                                 QKeySequence(Qt::CTRL | Qt::Key_R), [this] {
                                     readFiles(QFileDialog::getOpenFileNames(
                                         this, tr("Read what was measured"), QString(),
                                         tr("Measurements and pictures (*.txt *.cgats *.csv *.tsv *.cxf "
                                            "*.mxf *.tif *.tiff *.png *.jpg *.jpeg);;Any file (*)")));
                                 }));
    withCondition_.push_back(add(condition, tr("&Watch a folder for measurements…"), {}, [this] {
        const QString folder = QFileDialog::getExistingDirectory(
            this, tr("The folder into which the instrument's program exports"));
        if (!folder.isEmpty()) watchFolder(folder);
    }));
    withCondition_.push_back(
        add(condition, tr("Make a &test sheet…"), QKeySequence(Qt::CTRL | Qt::Key_T), [this] {
            if (page_) jobs_->makeSheet(chosen(), page_->nextSetting());
        }));
    withCondition_.push_back(
        add(condition, tr("Save the re&port…"), QKeySequence::Save, [this] { jobs_->saveReport(chosen()); }));
    condition->addSeparator();
    withCondition_.push_back(
        add(condition, tr("Make a tone &curve…"), {}, [this] { jobs_->makeCurve(chosen()); }));
    withCondition_.push_back(
        add(condition, tr("Make a neutrali&sing table…"), {}, [this] { jobs_->makeTable(chosen()); }));
    withCondition_.push_back(
        add(condition, tr("Make a pro&file…"), {}, [this] { jobs_->makeProfile(chosen()); }));
    withCondition_.push_back(add(condition, tr("Prepare &pictures…"), QKeySequence(Qt::CTRL | Qt::Key_P),
                                 [this] { jobs_->preparePictures(chosen()); }));

    condition->addSeparator();
    withCondition_.push_back(add(condition, tr("Put ri&ght how it was entered…"), {},
                                 [this] { jobs_->correctCondition(chosen()); }));
    withCondition_.push_back(
        add(condition, tr("Remo&ve it…"), {}, [this] { jobs_->removeCondition(chosen()); }));

    QMenu* studio = menuBar()->addMenu(tr("&Studio"));
    withBook_.push_back(add(studio, tr("A &light of your own…"), {}, [this] { jobs_->addLight(); }));
    withBook_.push_back(add(studio, tr("A &scene of your own…"), {}, [this] { jobs_->addScene(); }));
    withBook_.push_back(add(studio, tr("A &glazing of your own…"), {}, [this] { jobs_->addGlazing(); }));
    withBook_.push_back(
        add(studio, tr("Somebody who looks at your &prints…"), {}, [this] { jobs_->addViewer(); }));
    withBook_.push_back(
        add(studio, tr("Lear&n a scanner or camera…"), {}, [this] { jobs_->learnDevice(chosen()); }));
    studio->addSeparator();
    withBook_.push_back(add(studio, tr("What is the studio's &own…"), {}, [this] { jobs_->showOwn(); }));
    studio->addSeparator();
    add(studio, tr("How neutral is a place in a p&hotograph…"), {}, [this] { jobs_->lookAtPhotograph(); });

    QMenu* view = menuBar()->addMenu(tr("&View"));
    auto* shades = new QActionGroup(this);
    const std::pair<Shade, QString> names[] = {
        {Shade::system, tr("&As the system")}, {Shade::light, tr("&Light")}, {Shade::dark, tr("&Dark")}};
    for (const auto& [shade, words] : names) {
        QAction* one = view->addAction(words, this, [this, shade = shade] { setShade(shade); });
        one->setCheckable(true);
        one->setChecked(preferences_.shade == shade);
        shades->addAction(one);
    }
    view->addSeparator();
    add(view, tr("&How prints are looked at…"), {}, [this] { jobs_->askHowToLook(); });
    add(view, tr("Look at the book again"), QKeySequence::Refresh, [this] {
        workspace_.refresh();
        if (page_) page_->data().load();
    });

    QMenu* help = menuBar()->addMenu(tr("&Help"));
    add(help, tr("The &guide"), QKeySequence::HelpContents,
        [this] { showGuide(QStringLiteral("README.md")); });
    add(help, tr("&Words and figures"), {}, [this] { showGuide(QStringLiteral("words.md")); });
    add(help, tr("&About"), {}, [this] {
        QMessageBox::about(this, tr("About Greywright"),
                           tr("%1\n\nNeutral black-and-white inkjet prints, from test sheet to proof.\nFree "
                              "software: GPL-3.0-or-later. "
                              "Uses Qt, Eigen, fmt, libvips, SQLite, Little CMS, AprilTag and LibRaw.")
                               .arg(text(studio::version())));
    });
    showOpened();
}

void MainWindow::showGuide(const QString& page) {
    const QString path = Application::guideFolder() + QLatin1Char('/') + page;
    if (!QFileInfo::exists(path)) {
        return fail(tr("The guide is not there"),
                    {.code = "guide-missing",
                     .what = text(tr("it is installed beside the program, and was not found")),
                     .where = {.path = text(path)},
                     .next = text(tr("Install the program again, or read docs/guide in its sources"))});
    }
    (new GuideWindow(path, this))->show();
}

void MainWindow::openBook(const QString& path) {
    workspace_.open(QFileInfo(path).absoluteFilePath());
}

void MainWindow::startBook(const QString& path) {
    workspace_.start(QFileInfo(path).absoluteFilePath());
}

void MainWindow::openInvented(const QString& folder) {
    if (demo::isWhole(text(folder))) return openBook(QDir(folder).filePath(QStringLiteral("studio.book")));
    if (inventing_) return;
    inventing_ = tasks_.run(
        tr("Printing and measuring in the invented studio"), this,
        [folder](Task& task) -> Result<demo::Summary> {
            QDir().mkpath(QFileInfo(folder).absolutePath());
            QLockFile alone(folder + QStringLiteral(".lock"));
            if (!alone.tryLock())
                return Error{.code = "studio-being-made",
                             .what = text(tr("another window is making the invented studio")),
                             .next = text(tr("Wait until it is open there, then open it here"))};
            QDir(folder).removeRecursively();  // half a studio is of no use
            double share = 0;
            auto done = demo::run({.folder = text(folder),
                                   .when = platform::utcNow(),
                                   .say = [&](std::string_view) { share += (1 - share) * 0.06; },
                                   .goOn = [&] { return task.goOn(share); }});
            if (!done) QDir(folder).removeRecursively();
            return done;
        },
        [this](const Result<demo::Summary>& made) {
            inventing_.reset();
            if (!made && made.error().code == "stopped") return;
            if (!made) return fail(tr("The invented studio was not made"), made.error());
            openBook(text(made->book.string()));
        });
}

void MainWindow::showOpened() {
    const bool isOpen = workspace_.isOpen();
    for (QAction* one : withBook_) one->setEnabled(isOpen);
    for (QAction* one : withCondition_) one->setEnabled(isOpen && page_ != nullptr);
    if (!isOpen) {
        setWindowTitle(tr("Greywright"));
        return;
    }
    preferences_.remember(workspace_.path());
    preferences_.save();
    bookName_->setText(QFileInfo(workspace_.path()).completeBaseName());
    bookName_->setToolTip(workspace_.path());
    setWindowTitle(tr("%1 – Greywright").arg(QFileInfo(workspace_.path()).fileName()));
    stack_->setCurrentWidget(book_);
    messages_->hide();
}

void MainWindow::showConditions() {
    const QString before = page_ ? chosen() : std::exchange(left_, {});
    conditions_->show(workspace_.conditions());
    list_->doItemsLayout();  // words may take another line now
    if (!workspace_.isOpen()) return;
    if (workspace_.conditions().empty()) {
        right_->setCurrentWidget(hint_);
        return;
    }
    const QModelIndex kept = conditions_->indexOf(before);
    list_->setCurrentIndex(kept.isValid() ? kept : conditions_->index(0));
    // Where the same book was opened again the list has not changed, but its page is gone.
    showCondition(list_->currentIndex().data(ConditionsModel::nameRole).toString());
}

QString MainWindow::chosen() const {
    return page_ ? page_->name() : QString();
}

void MainWindow::showCondition(const QString& name) {
    if (page_ && page_->name() == name) return;
    const QModelIndex index = conditions_->indexOf(name);
    if (!index.isValid()) return;
    messages_->forget();
    delete page_;
    page_ = new ConditionPage(workspace_, name, preferences_, *jobs_);
    connect(page_, &ConditionPage::failed, this, &MainWindow::fail);
    connect(page_, &ConditionPage::outdated, this, [this] {
        left_ = page_->name();
        page_->deleteLater();
        page_.clear();
        for (QAction* one : withCondition_) one->setEnabled(false);
        workspace_.refreshAndTell();
    });
    connect(page_, &ConditionPage::said, this,
            [this](const QString& words) { messages_->say(MessageBar::Weight::word, words, {}); });
    connect(page_, &ConditionPage::readWanted, this, [this] { withCondition_.front()->trigger(); });
    right_->addWidget(page_);
    right_->setCurrentWidget(page_);
    list_->setCurrentIndex(index);
    for (QAction* one : withCondition_) one->setEnabled(true);
}

void MainWindow::setShade(Shade shade) {
    preferences_.shade = shade;
    preferences_.save();
    dress(*qApp, shade);
}

void MainWindow::fail(const QString& what, const Error& error) {
    messages_->tell(what, error);
}

ConditionPage* MainWindow::page() const {
    return page_;
}

ReadDialog* MainWindow::reading() const {
    return reading_;
}

void MainWindow::readFiles(const QStringList& files) {
    if (files.isEmpty()) return;
    if (!page_) {
        messages_->say(MessageBar::Weight::warning, tr("Which condition is it of?"),
                       tr("Open a book and choose or enter a condition first."));
        return;
    }
    if (!reading_) {
        reading_ = new ReadDialog(workspace_, page_->data(), this);
        connect(reading_, &ReadDialog::stored, this, [this](const QString& title, const QString& words) {
            messages_->say(MessageBar::Weight::word, title, words);
        });
        connect(reading_, &ReadDialog::failed, this, &MainWindow::fail);
    }
    reading_->add(files);
}

void MainWindow::watchFolder(const QString& folder) {
    if (watch_->watch(folder)) {
        messages_->say(MessageBar::Weight::word, tr("Watching %1").arg(folder),
                       tr("Measurements that appear there are shown here and asked about; nothing is stored "
                          "by itself."));
    } else {
        messages_->say(MessageBar::Weight::warning, tr("That is no folder that can be watched"), folder);
    }
}

void MainWindow::dragEnterEvent(QDragEnterEvent* event) {
    if (event->mimeData()->hasUrls()) event->acceptProposedAction();
}

void MainWindow::dropEvent(QDropEvent* event) {
    QStringList files;
    for (const QUrl& url : event->mimeData()->urls()) {
        if (url.isLocalFile()) files << url.toLocalFile();
    }
    if (files.isEmpty()) {
        messages_->say(MessageBar::Weight::warning, tr("That is no file of this computer"),
                       tr("Save it to a folder first and drop it from there."));
        return;
    }
    event->acceptProposedAction();
    const bool isBook = files.size() == 1 && files.front().endsWith(QStringLiteral(".greywright"));
    if (isBook) return openBook(files.front());
    readFiles(files);
}

void MainWindow::closeEvent(QCloseEvent* event) {
    if (!tasks_.shown().empty()) {
        const auto answer = QMessageBox::question(
            this, tr("Work is going on"), tr("Stop it and quit? Nothing that is in the book is lost."));
        if (answer != QMessageBox::Yes) {
            event->ignore();
            return;
        }
    }
    QSettings().setValue(QStringLiteral("window"), saveGeometry());
    tasks_.stopAll();
    event->accept();
}

}  // namespace greywright::desktop
