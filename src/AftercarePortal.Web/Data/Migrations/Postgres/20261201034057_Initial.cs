using System;
using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace AftercarePortal.Web.Data.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class Initial : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "Absences",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Person = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    From = table.Column<long>(type: "bigint", nullable: false),
                    To = table.Column<long>(type: "bigint", nullable: false),
                    EnteredBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    EnteredAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Absences", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "CalendarFeeds",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Person = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: true),
                    SecretHash = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    MadeBy = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    MadeAt = table.Column<long>(type: "bigint", nullable: false),
                    RevokedAt = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_CalendarFeeds", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "CheckIns",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    MessageId = table.Column<Guid>(type: "uuid", nullable: false),
                    Pain = table.Column<int>(type: "integer", nullable: true),
                    Letter = table.Column<string>(type: "character varying(1)", maxLength: 1, nullable: true),
                    At = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_CheckIns", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "ClinicChanges",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Json = table.Column<string>(type: "text", nullable: false),
                    ChangedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    ChangedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_ClinicChanges", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "ClinicFigures",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Model = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    Cases = table.Column<int>(type: "integer", nullable: false),
                    WithoutExam = table.Column<int>(type: "integer", nullable: false),
                    LeftOut = table.Column<string>(type: "text", nullable: false),
                    Json = table.Column<string>(type: "text", nullable: false),
                    Calibrations = table.Column<string>(type: "text", nullable: false),
                    Fingerprint = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    LearnedAt = table.Column<long>(type: "bigint", nullable: false),
                    AskedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_ClinicFigures", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Clinics",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false),
                    Slug = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: false),
                    PriceList = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: true),
                    RangesHold = table.Column<int>(type: "integer", nullable: false),
                    Zone = table.Column<string>(type: "text", nullable: false),
                    EmergencyNumber = table.Column<string>(type: "text", nullable: false),
                    ClinicLine = table.Column<string>(type: "text", nullable: false),
                    PatientNumber = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    PageNumber = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    QuietFrom = table.Column<string>(type: "text", nullable: false),
                    QuietTo = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Clinics", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "ContactProofs",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Person = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    Way = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    Number = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    At = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_ContactProofs", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Deliveries",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    OutgoingId = table.Column<Guid>(type: "uuid", nullable: false),
                    Status = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    ErrorCode = table.Column<int>(type: "integer", nullable: true),
                    ReceivedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Deliveries", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "EscalationEvents",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    EscalationId = table.Column<Guid>(type: "uuid", nullable: false),
                    At = table.Column<long>(type: "bigint", nullable: false),
                    Turn = table.Column<int>(type: "integer", nullable: false),
                    What = table.Column<string>(type: "text", nullable: false),
                    Person = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: true),
                    OutgoingId = table.Column<Guid>(type: "uuid", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_EscalationEvents", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Escalations",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: true),
                    Number = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    Ref = table.Column<string>(type: "character varying(8)", maxLength: 8, nullable: false),
                    Tier = table.Column<string>(type: "text", nullable: false),
                    Language = table.Column<string>(type: "character varying(5)", maxLength: 5, nullable: false),
                    OpenedAt = table.Column<long>(type: "bigint", nullable: false),
                    WrittenAt = table.Column<long>(type: "bigint", nullable: false),
                    TakenBy = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: true),
                    TakenAt = table.Column<long>(type: "bigint", nullable: true),
                    ConfirmRound = table.Column<int>(type: "integer", nullable: true),
                    ClosedAt = table.Column<long>(type: "bigint", nullable: true),
                    ClosedBy = table.Column<string>(type: "text", nullable: true),
                    Outcome = table.Column<string>(type: "text", nullable: true),
                    Turn = table.Column<int>(type: "integer", nullable: false),
                    OpenKey = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    FromIntake = table.Column<bool>(type: "boolean", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Escalations", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "HandOvers",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    WrittenBy = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    WrittenAt = table.Column<long>(type: "bigint", nullable: false),
                    Text = table.Column<string>(type: "text", nullable: false),
                    OpenReports = table.Column<string>(type: "text", nullable: false),
                    ReadBy = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: true),
                    ReadAt = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_HandOvers", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Intakes",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    LinkHash = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    Questionnaire = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    StartedAt = table.Column<long>(type: "bigint", nullable: false),
                    Language = table.Column<string>(type: "character varying(10)", maxLength: 10, nullable: false),
                    AnswersVersion = table.Column<int>(type: "integer", nullable: false),
                    EndsAt = table.Column<long>(type: "bigint", nullable: false),
                    SubmittedAt = table.Column<long>(type: "bigint", nullable: true),
                    Name = table.Column<string>(type: "text", nullable: true),
                    Number = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: true),
                    MayText = table.Column<bool>(type: "boolean", nullable: false),
                    Answer = table.Column<string>(type: "text", nullable: true),
                    Question = table.Column<string>(type: "text", nullable: true),
                    Visit = table.Column<string>(type: "text", nullable: true),
                    NarrowerQuote = table.Column<Guid>(type: "uuid", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Intakes", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Jobs",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Kind = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: false),
                    Subject = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    DueAt = table.Column<long>(type: "bigint", nullable: false),
                    Lane = table.Column<int>(type: "integer", nullable: false),
                    Attempts = table.Column<int>(type: "integer", nullable: false),
                    LeasedUntil = table.Column<long>(type: "bigint", nullable: true),
                    DoneAt = table.Column<long>(type: "bigint", nullable: true),
                    ParkedAt = table.Column<long>(type: "bigint", nullable: true),
                    LastFailure = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Jobs", x => x.Id);
                    table.CheckConstraint("CK_Jobs_Lane", "\"Lane\" IN (0, 1, 2, 5, 9, 19, 20)");
                });

            migrationBuilder.CreateTable(
                name: "LentScreens",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Session = table.Column<Guid>(type: "uuid", nullable: false),
                    StaffId = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    Screen = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    LentAt = table.Column<long>(type: "bigint", nullable: false),
                    UnlockedAt = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_LentScreens", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "NumberChanges",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Person = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    Before = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    Number = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    ChangedBy = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    ChangedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_NumberChanges", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "NumberTroubles",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    Way = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    What = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    Code = table.Column<int>(type: "integer", nullable: true),
                    At = table.Column<long>(type: "bigint", nullable: false),
                    EndedAt = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_NumberTroubles", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "OptOuts",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    Stopped = table.Column<bool>(type: "boolean", nullable: false),
                    MessageId = table.Column<Guid>(type: "uuid", nullable: false),
                    At = table.Column<long>(type: "bigint", nullable: false),
                    IsWrongNumber = table.Column<bool>(type: "boolean", nullable: false),
                    LetGoOnBy = table.Column<string>(type: "character varying(256)", maxLength: 256, nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_OptOuts", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Outgoing",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Key = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    Kind = table.Column<string>(type: "text", nullable: false),
                    From = table.Column<string>(type: "text", nullable: false),
                    To = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    Text = table.Column<string>(type: "text", nullable: false),
                    State = table.Column<string>(type: "text", nullable: false),
                    CarrierId = table.Column<string>(type: "text", nullable: true),
                    MadeAt = table.Column<long>(type: "bigint", nullable: false),
                    FirstTriedAt = table.Column<long>(type: "bigint", nullable: true),
                    AnsweredAt = table.Column<long>(type: "bigint", nullable: true),
                    RefusedCode = table.Column<int>(type: "integer", nullable: true),
                    ReportId = table.Column<Guid>(type: "uuid", nullable: true),
                    Asks = table.Column<string>(type: "text", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Outgoing", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "PatientChanges",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false),
                    Number = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    AgreedToTextsAt = table.Column<long>(type: "bigint", nullable: true),
                    BornOn = table.Column<string>(type: "text", nullable: true),
                    Language = table.Column<string>(type: "character varying(5)", maxLength: 5, nullable: true),
                    ChangedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    ChangedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PatientChanges", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Patients",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Name = table.Column<string>(type: "text", nullable: false),
                    Number = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    BornOn = table.Column<string>(type: "text", nullable: true),
                    AgreedToTextsAt = table.Column<long>(type: "bigint", nullable: true),
                    Language = table.Column<string>(type: "character varying(5)", maxLength: 5, nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Patients", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Photos",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    MessageId = table.Column<Guid>(type: "uuid", nullable: false),
                    Index = table.Column<int>(type: "integer", nullable: false),
                    State = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    ContentType = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    Sealed = table.Column<byte[]>(type: "bytea", nullable: true),
                    SealedSmall = table.Column<byte[]>(type: "bytea", nullable: true),
                    OriginalBytes = table.Column<int>(type: "integer", nullable: false),
                    Width = table.Column<int>(type: "integer", nullable: false),
                    Height = table.Column<int>(type: "integer", nullable: false),
                    FetchedAt = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Photos", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Readings",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    MessageId = table.Column<Guid>(type: "uuid", nullable: false),
                    EscalationId = table.Column<Guid>(type: "uuid", nullable: true),
                    Tier = table.Column<string>(type: "text", nullable: false),
                    Version = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    Json = table.Column<string>(type: "text", nullable: false),
                    ReadAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Readings", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Recalls",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Lot = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: false),
                    Text = table.Column<string>(type: "text", nullable: false),
                    ApprovedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    ApprovedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Recalls", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "RotaChanges",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    What = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    Person = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    From = table.Column<long>(type: "bigint", nullable: false),
                    To = table.Column<long>(type: "bigint", nullable: false),
                    By = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    At = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_RotaChanges", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "RuleChoices",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    RuleId = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    Choice = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: true),
                    Means = table.Column<string>(type: "text", nullable: false),
                    Rules = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    Reason = table.Column<string>(type: "text", nullable: false),
                    ChosenBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    ChosenAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_RuleChoices", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Shifts",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Person = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    Number = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    From = table.Column<long>(type: "bigint", nullable: false),
                    To = table.Column<long>(type: "bigint", nullable: false),
                    Order = table.Column<int>(type: "integer", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Shifts", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Staff",
                columns: table => new
                {
                    Id = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    FullName = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    PageNumber = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    Role = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    ProtectedKey = table.Column<string>(type: "text", nullable: true),
                    EnrolledAt = table.Column<long>(type: "bigint", nullable: true),
                    FirstPasswordUntil = table.Column<long>(type: "bigint", nullable: true),
                    LastStep = table.Column<long>(type: "bigint", nullable: false),
                    Tries = table.Column<int>(type: "integer", nullable: false),
                    ShutUntil = table.Column<long>(type: "bigint", nullable: true),
                    KnownTries = table.Column<int>(type: "integer", nullable: false),
                    KnownShutUntil = table.Column<long>(type: "bigint", nullable: true),
                    UserName = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    NormalizedUserName = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    Email = table.Column<string>(type: "text", nullable: true),
                    NormalizedEmail = table.Column<string>(type: "text", nullable: true),
                    EmailConfirmed = table.Column<bool>(type: "boolean", nullable: false),
                    PasswordHash = table.Column<string>(type: "text", nullable: true),
                    SecurityStamp = table.Column<string>(type: "text", nullable: true),
                    ConcurrencyStamp = table.Column<string>(type: "text", nullable: true),
                    PhoneNumber = table.Column<string>(type: "text", nullable: true),
                    PhoneNumberConfirmed = table.Column<bool>(type: "boolean", nullable: false),
                    TwoFactorEnabled = table.Column<bool>(type: "boolean", nullable: false),
                    LockoutEnd = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: true),
                    LockoutEnabled = table.Column<bool>(type: "boolean", nullable: false),
                    AccessFailedCount = table.Column<int>(type: "integer", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Staff", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "StaffChanges",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    StaffId = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    What = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    By = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: true),
                    At = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_StaffChanges", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "StaffSessions",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    StaffId = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: false),
                    BeganAt = table.Column<long>(type: "bigint", nullable: false),
                    EndedAt = table.Column<long>(type: "bigint", nullable: true),
                    Tries = table.Column<int>(type: "integer", nullable: false),
                    ShutUntil = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_StaffSessions", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Steps",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    TreatmentId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    Cause = table.Column<Guid>(type: "uuid", nullable: false),
                    StepId = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: false),
                    From = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    Kind = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    TextId = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    DueAt = table.Column<long>(type: "bigint", nullable: false),
                    Day = table.Column<int>(type: "integer", nullable: false),
                    MissedWithinHours = table.Column<int>(type: "integer", nullable: false),
                    MissedThen = table.Column<string>(type: "text", nullable: false),
                    State = table.Column<string>(type: "text", nullable: false),
                    Reason = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    StateAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Steps", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "Swept",
                columns: table => new
                {
                    Number = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    Since = table.Column<long>(type: "bigint", nullable: false),
                    At = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Swept", x => x.Number);
                });

            migrationBuilder.CreateTable(
                name: "TestPages",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    Key = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    Person = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    Number = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    AskedAt = table.Column<long>(type: "bigint", nullable: false),
                    DueAt = table.Column<long>(type: "bigint", nullable: false),
                    TakenAt = table.Column<long>(type: "bigint", nullable: true),
                    TakenBy = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: true),
                    MissedAt = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_TestPages", x => x.Id);
                });

            migrationBuilder.CreateTable(
                name: "WorkerBeats",
                columns: table => new
                {
                    Node = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    Worker = table.Column<int>(type: "integer", nullable: false),
                    At = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_WorkerBeats", x => new { x.Node, x.Worker });
                });

            migrationBuilder.CreateTable(
                name: "CourseEnds",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    Sessions = table.Column<int>(type: "integer", nullable: false),
                    EndedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    EndedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_CourseEnds", x => x.Id);
                    table.ForeignKey(
                        name: "FK_CourseEnds_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "Decisions",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Decision = table.Column<string>(type: "text", nullable: false),
                    Until = table.Column<string>(type: "text", nullable: true),
                    Reason = table.Column<string>(type: "text", nullable: false),
                    WordsToPatient = table.Column<string>(type: "text", nullable: false),
                    DecidedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    DecidedAt = table.Column<long>(type: "bigint", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: true),
                    CorrectsSender = table.Column<bool>(type: "boolean", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Decisions", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Decisions_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "Examinations",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Laxity = table.Column<int>(type: "integer", nullable: true),
                    Bone = table.Column<int>(type: "integer", nullable: true),
                    SideDifference = table.Column<int>(type: "integer", nullable: true),
                    LeftTenths = table.Column<int>(type: "integer", nullable: true),
                    RightTenths = table.Column<int>(type: "integer", nullable: true),
                    PlacedSdTenths = table.Column<int>(type: "integer", nullable: false),
                    EarlierProduct = table.Column<bool>(type: "boolean", nullable: true),
                    Resistance = table.Column<int>(type: "integer", nullable: true),
                    Injector = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    ExaminedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    ExaminedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Examinations", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Examinations_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "FindingOverrides",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    RuleId = table.Column<string>(type: "character varying(100)", maxLength: 100, nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Becomes = table.Column<string>(type: "text", nullable: true),
                    Reason = table.Column<string>(type: "text", nullable: false),
                    Consequence = table.Column<string>(type: "text", nullable: false),
                    DecidedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    DecidedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_FindingOverrides", x => x.Id);
                    table.ForeignKey(
                        name: "FK_FindingOverrides_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "IntakeAnswers",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    LinkId = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    Typed = table.Column<string>(type: "text", nullable: false),
                    State = table.Column<string>(type: "text", nullable: false),
                    AnsweredAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_IntakeAnswers", x => x.Id);
                    table.ForeignKey(
                        name: "FK_IntakeAnswers_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "IntakeNewLinks",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    MadeBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    MadeAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_IntakeNewLinks", x => x.Id);
                    table.ForeignKey(
                        name: "FK_IntakeNewLinks_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "IntakePhotos",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    View = table.Column<string>(type: "character varying(10)", maxLength: 10, nullable: false),
                    Sealed = table.Column<byte[]>(type: "bytea", nullable: false),
                    SealedSmall = table.Column<byte[]>(type: "bytea", nullable: false),
                    Width = table.Column<int>(type: "integer", nullable: false),
                    Height = table.Column<int>(type: "integer", nullable: false),
                    Sharpness = table.Column<double>(type: "double precision", nullable: false),
                    Brightness = table.Column<double>(type: "double precision", nullable: false),
                    AddedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_IntakePhotos", x => x.Id);
                    table.ForeignKey(
                        name: "FK_IntakePhotos_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "IntakeQuestions",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Further = table.Column<int>(type: "integer", nullable: true),
                    Words = table.Column<string>(type: "text", nullable: false),
                    AskedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    AskedAt = table.Column<long>(type: "bigint", nullable: false),
                    Answer = table.Column<string>(type: "text", nullable: true),
                    AnsweredAt = table.Column<long>(type: "bigint", nullable: true),
                    SoundsUrgent = table.Column<bool>(type: "boolean", nullable: false),
                    ReadBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    ReadAt = table.Column<long>(type: "bigint", nullable: true),
                    ClosedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    ClosedAt = table.Column<long>(type: "bigint", nullable: true),
                    ClosedWith = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_IntakeQuestions", x => x.Id);
                    table.ForeignKey(
                        name: "FK_IntakeQuestions_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "IntakeResults",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    MadeAt = table.Column<long>(type: "bigint", nullable: false),
                    AnswersVersion = table.Column<int>(type: "integer", nullable: false),
                    Json = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_IntakeResults", x => x.Id);
                    table.ForeignKey(
                        name: "FK_IntakeResults_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "Quotes",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    MadeAt = table.Column<long>(type: "bigint", nullable: false),
                    Stage = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    ExaminationId = table.Column<Guid>(type: "uuid", nullable: true),
                    Model = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    Prices = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    Figures = table.Column<int>(type: "integer", nullable: false),
                    Inputs = table.Column<string>(type: "text", nullable: false),
                    Range = table.Column<string>(type: "text", nullable: false),
                    Amounts = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Quotes", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Quotes_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "Visits",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    IntakeId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    StartsAt = table.Column<long>(type: "bigint", nullable: false),
                    Minutes = table.Column<int>(type: "integer", nullable: false),
                    Place = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    Cancelled = table.Column<bool>(type: "boolean", nullable: false),
                    WrittenBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    WrittenAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Visits", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Visits_Intakes_IntakeId",
                        column: x => x.IntakeId,
                        principalTable: "Intakes",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "Consents",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    DocumentId = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    Version = table.Column<int>(type: "integer", nullable: false),
                    Title = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    Language = table.Column<string>(type: "character varying(8)", maxLength: 8, nullable: false),
                    Bytes = table.Column<byte[]>(type: "bytea", nullable: false),
                    Hash = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    SignedAs = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    HandedOverBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    HandedOverById = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: true),
                    Clinician = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    ClinicianId = table.Column<string>(type: "character varying(40)", maxLength: 40, nullable: true),
                    ClinicianSignedAt = table.Column<long>(type: "bigint", nullable: true),
                    SignedAt = table.Column<long>(type: "bigint", nullable: false),
                    From = table.Column<string>(type: "text", nullable: false),
                    WithdrawnAt = table.Column<long>(type: "bigint", nullable: true),
                    WithdrawnWith = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    WithdrawnSaidBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    WithdrawnTold = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: true),
                    WithdrawnWords = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Consents", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Consents_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "KitChecks",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    On = table.Column<string>(type: "text", nullable: false),
                    CheckedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    CheckedAt = table.Column<long>(type: "bigint", nullable: false),
                    Rules = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    Found = table.Column<string>(type: "text", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_KitChecks", x => x.Id);
                    table.ForeignKey(
                        name: "FK_KitChecks_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "Messages",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    CarrierId = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    From = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    To = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    Text = table.Column<string>(type: "text", nullable: false),
                    MediaCount = table.Column<int>(type: "integer", nullable: false),
                    RawForm = table.Column<string>(type: "text", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: true),
                    ReceivedAt = table.Column<long>(type: "bigint", nullable: false),
                    WrittenAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Messages", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Messages_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "ProfilePhotos",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    View = table.Column<string>(type: "character varying(10)", maxLength: 10, nullable: false),
                    Sealed = table.Column<byte[]>(type: "bytea", nullable: false),
                    Width = table.Column<int>(type: "integer", nullable: false),
                    Height = table.Column<int>(type: "integer", nullable: false),
                    ScaleTenthsMm = table.Column<int>(type: "integer", nullable: true),
                    AddedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    AddedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_ProfilePhotos", x => x.Id);
                    table.ForeignKey(
                        name: "FK_ProfilePhotos_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "ThrownDrafts",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    StaffId = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    StaffName = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    Form = table.Column<string>(type: "text", nullable: false),
                    ThrownAt = table.Column<long>(type: "bigint", nullable: false),
                    TakenUpAt = table.Column<long>(type: "bigint", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_ThrownDrafts", x => x.Id);
                    table.ForeignKey(
                        name: "FK_ThrownDrafts_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "TreatmentDrafts",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    StaffId = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false),
                    StaffName = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    Form = table.Column<string>(type: "text", nullable: false),
                    SavedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_TreatmentDrafts", x => x.Id);
                    table.ForeignKey(
                        name: "FK_TreatmentDrafts_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "TreatmentPlans",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Adjuncts = table.Column<string>(type: "character varying(1000)", maxLength: 1000, nullable: false),
                    Note = table.Column<string>(type: "character varying(4000)", maxLength: 4000, nullable: false),
                    SavedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    SavedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_TreatmentPlans", x => x.Id);
                    table.ForeignKey(
                        name: "FK_TreatmentPlans_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "Treatments",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    TreatedOn = table.Column<string>(type: "text", nullable: false),
                    SignedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    SignedAt = table.Column<long>(type: "bigint", nullable: false),
                    Number = table.Column<int>(type: "integer", nullable: false),
                    Events = table.Column<string>(type: "character varying(4000)", maxLength: 4000, nullable: false),
                    RecalledWhy = table.Column<string>(type: "character varying(4000)", maxLength: 4000, nullable: false),
                    PlanId = table.Column<Guid>(type: "uuid", nullable: true),
                    TouchUpOf = table.Column<Guid>(type: "uuid", nullable: true),
                    ConsentGap = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    NoConsent = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: true),
                    NoConsentWords = table.Column<string>(type: "character varying(4000)", maxLength: 4000, nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Treatments", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Treatments_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_Treatments_Treatments_TouchUpOf",
                        column: x => x.TouchUpOf,
                        principalTable: "Treatments",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "WhosePhotos",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    PhotoId = table.Column<Guid>(type: "uuid", nullable: false),
                    ShowsPatient = table.Column<bool>(type: "boolean", nullable: false),
                    Why = table.Column<string>(type: "character varying(500)", maxLength: 500, nullable: false),
                    SaidBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    SaidAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_WhosePhotos", x => x.Id);
                    table.ForeignKey(
                        name: "FK_WhosePhotos_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "PhotoPoses",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PhotoId = table.Column<Guid>(type: "uuid", nullable: false),
                    View = table.Column<string>(type: "character varying(10)", maxLength: 10, nullable: false),
                    SetBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    SetAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PhotoPoses", x => x.Id);
                    table.ForeignKey(
                        name: "FK_PhotoPoses_Photos_PhotoId",
                        column: x => x.PhotoId,
                        principalTable: "Photos",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "RecallNotices",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    RecallId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    Standing = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_RecallNotices", x => x.Id);
                    table.ForeignKey(
                        name: "FK_RecallNotices_Patients_PatientId",
                        column: x => x.PatientId,
                        principalTable: "Patients",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_RecallNotices_Recalls_RecallId",
                        column: x => x.RecallId,
                        principalTable: "Recalls",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "ProfileMarks",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PhotoId = table.Column<Guid>(type: "uuid", nullable: false),
                    Landmark = table.Column<string>(type: "character varying(20)", maxLength: 20, nullable: false),
                    X = table.Column<double>(type: "double precision", nullable: false),
                    Y = table.Column<double>(type: "double precision", nullable: false),
                    PlacedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    PlacedAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_ProfileMarks", x => x.Id);
                    table.ForeignKey(
                        name: "FK_ProfileMarks_ProfilePhotos_PhotoId",
                        column: x => x.PhotoId,
                        principalTable: "ProfilePhotos",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "PlanAcceptances",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PlanId = table.Column<Guid>(type: "uuid", nullable: false),
                    PatientId = table.Column<Guid>(type: "uuid", nullable: false),
                    SignedAs = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    HandedOverBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    AcceptedAt = table.Column<long>(type: "bigint", nullable: false),
                    QuoteId = table.Column<Guid>(type: "uuid", nullable: true),
                    Language = table.Column<string>(type: "character varying(8)", maxLength: 8, nullable: false),
                    Bytes = table.Column<byte[]>(type: "bytea", nullable: false),
                    Hash = table.Column<string>(type: "character varying(64)", maxLength: 64, nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_PlanAcceptances", x => x.Id);
                    table.ForeignKey(
                        name: "FK_PlanAcceptances_TreatmentPlans_PlanId",
                        column: x => x.PlanId,
                        principalTable: "TreatmentPlans",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "TreatmentPlanLines",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    PlanId = table.Column<Guid>(type: "uuid", nullable: false),
                    Ordinal = table.Column<int>(type: "integer", nullable: false),
                    Region = table.Column<string>(type: "text", nullable: false),
                    Side = table.Column<string>(type: "text", nullable: false),
                    ProductClass = table.Column<string>(type: "text", nullable: false),
                    Hundredths = table.Column<int>(type: "integer", nullable: false),
                    Device = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_TreatmentPlanLines", x => x.Id);
                    table.ForeignKey(
                        name: "FK_TreatmentPlanLines_TreatmentPlans_PlanId",
                        column: x => x.PlanId,
                        principalTable: "TreatmentPlans",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "Addenda",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    TreatmentId = table.Column<Guid>(type: "uuid", nullable: false),
                    Text = table.Column<string>(type: "character varying(4000)", maxLength: 4000, nullable: false),
                    WrittenBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    WrittenAt = table.Column<long>(type: "bigint", nullable: false),
                    Corrects = table.Column<int>(type: "integer", nullable: true),
                    RightAmount = table.Column<int>(type: "integer", nullable: true),
                    RightRegion = table.Column<string>(type: "text", nullable: true),
                    RightSide = table.Column<string>(type: "text", nullable: true),
                    RightClass = table.Column<string>(type: "text", nullable: true),
                    RightProduct = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: true),
                    RightLot = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: true),
                    RightLotKey = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: true),
                    RightExpiry = table.Column<string>(type: "text", nullable: true),
                    RightDay = table.Column<string>(type: "text", nullable: true),
                    Standing = table.Column<string>(type: "text", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Addenda", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Addenda_Treatments_TreatmentId",
                        column: x => x.TreatmentId,
                        principalTable: "Treatments",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "Drawn",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    TreatmentId = table.Column<Guid>(type: "uuid", nullable: false),
                    Ordinal = table.Column<int>(type: "integer", nullable: false),
                    ProductClass = table.Column<string>(type: "text", nullable: false),
                    Lot = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: false),
                    LotKey = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: false),
                    Hundredths = table.Column<int>(type: "integer", nullable: false),
                    HundredthsDiluent = table.Column<int>(type: "integer", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Drawn", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Drawn_Treatments_TreatmentId",
                        column: x => x.TreatmentId,
                        principalTable: "Treatments",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "Placements",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    TreatmentId = table.Column<Guid>(type: "uuid", nullable: false),
                    Ordinal = table.Column<int>(type: "integer", nullable: false),
                    Region = table.Column<string>(type: "text", nullable: false),
                    Side = table.Column<string>(type: "text", nullable: false),
                    ProductClass = table.Column<string>(type: "text", nullable: false),
                    ProductName = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false),
                    Lot = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: false),
                    LotKey = table.Column<string>(type: "character varying(60)", maxLength: 60, nullable: false),
                    Udi = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: true),
                    Expiry = table.Column<string>(type: "text", nullable: false),
                    HundredthsMl = table.Column<int>(type: "integer", nullable: true),
                    TenthsUnits = table.Column<int>(type: "integer", nullable: true),
                    Plane = table.Column<string>(type: "text", nullable: false),
                    Device = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false),
                    EntryPoint = table.Column<string>(type: "character varying(120)", maxLength: 120, nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_Placements", x => x.Id);
                    table.ForeignKey(
                        name: "FK_Placements_Treatments_TreatmentId",
                        column: x => x.TreatmentId,
                        principalTable: "Treatments",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "ReviewAnswers",
                columns: table => new
                {
                    Id = table.Column<Guid>(type: "uuid", nullable: false),
                    ClinicId = table.Column<Guid>(type: "uuid", nullable: false),
                    TreatmentId = table.Column<Guid>(type: "uuid", nullable: false),
                    Day = table.Column<int>(type: "integer", nullable: false),
                    Questions = table.Column<string>(type: "character varying(80)", maxLength: 80, nullable: false),
                    Language = table.Column<string>(type: "character varying(8)", maxLength: 8, nullable: false),
                    Chosen = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: false),
                    Words = table.Column<string>(type: "character varying(2000)", maxLength: 2000, nullable: false),
                    AskedBy = table.Column<string>(type: "character varying(200)", maxLength: 200, nullable: false),
                    AnsweredAt = table.Column<long>(type: "bigint", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_ReviewAnswers", x => x.Id);
                    table.ForeignKey(
                        name: "FK_ReviewAnswers_Treatments_TreatmentId",
                        column: x => x.TreatmentId,
                        principalTable: "Treatments",
                        principalColumn: "Id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateIndex(
                name: "IX_Absences_ClinicId_To",
                table: "Absences",
                columns: new[] { "ClinicId", "To" });

            migrationBuilder.CreateIndex(
                name: "IX_Addenda_ClinicId_RightLotKey",
                table: "Addenda",
                columns: new[] { "ClinicId", "RightLotKey" });

            migrationBuilder.CreateIndex(
                name: "IX_Addenda_TreatmentId",
                table: "Addenda",
                column: "TreatmentId");

            migrationBuilder.CreateIndex(
                name: "IX_CalendarFeeds_SecretHash",
                table: "CalendarFeeds",
                column: "SecretHash",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_CheckIns_ClinicId_Number_At",
                table: "CheckIns",
                columns: new[] { "ClinicId", "Number", "At" });

            migrationBuilder.CreateIndex(
                name: "IX_ClinicChanges_ClinicId_ChangedAt",
                table: "ClinicChanges",
                columns: new[] { "ClinicId", "ChangedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_ClinicFigures_ClinicId_Number",
                table: "ClinicFigures",
                columns: new[] { "ClinicId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Clinics_PageNumber",
                table: "Clinics",
                column: "PageNumber",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Clinics_PatientNumber",
                table: "Clinics",
                column: "PatientNumber",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Clinics_Slug",
                table: "Clinics",
                column: "Slug",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Consents_ClinicId_PatientId_SignedAt",
                table: "Consents",
                columns: new[] { "ClinicId", "PatientId", "SignedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Consents_PatientId",
                table: "Consents",
                column: "PatientId");

            migrationBuilder.CreateIndex(
                name: "IX_ContactProofs_ClinicId_Person_Way",
                table: "ContactProofs",
                columns: new[] { "ClinicId", "Person", "Way" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_CourseEnds_IntakeId_EndedAt",
                table: "CourseEnds",
                columns: new[] { "IntakeId", "EndedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Decisions_IntakeId_Number",
                table: "Decisions",
                columns: new[] { "IntakeId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Deliveries_OutgoingId",
                table: "Deliveries",
                column: "OutgoingId");

            migrationBuilder.CreateIndex(
                name: "IX_Drawn_ClinicId_LotKey",
                table: "Drawn",
                columns: new[] { "ClinicId", "LotKey" });

            migrationBuilder.CreateIndex(
                name: "IX_Drawn_TreatmentId",
                table: "Drawn",
                column: "TreatmentId");

            migrationBuilder.CreateIndex(
                name: "IX_EscalationEvents_EscalationId",
                table: "EscalationEvents",
                column: "EscalationId");

            migrationBuilder.CreateIndex(
                name: "IX_Escalations_ClinicId_Number",
                table: "Escalations",
                columns: new[] { "ClinicId", "Number" });

            migrationBuilder.CreateIndex(
                name: "IX_Escalations_ClinicId_OpenKey",
                table: "Escalations",
                columns: new[] { "ClinicId", "OpenKey" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Escalations_ClinicId_PatientId",
                table: "Escalations",
                columns: new[] { "ClinicId", "PatientId" });

            migrationBuilder.CreateIndex(
                name: "IX_Escalations_ClinicId_Ref",
                table: "Escalations",
                columns: new[] { "ClinicId", "Ref" });

            migrationBuilder.CreateIndex(
                name: "IX_Examinations_IntakeId_Number",
                table: "Examinations",
                columns: new[] { "IntakeId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_FindingOverrides_IntakeId_RuleId_Number",
                table: "FindingOverrides",
                columns: new[] { "IntakeId", "RuleId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_HandOvers_ClinicId_WrittenAt",
                table: "HandOvers",
                columns: new[] { "ClinicId", "WrittenAt" });

            migrationBuilder.CreateIndex(
                name: "IX_IntakeAnswers_IntakeId_LinkId",
                table: "IntakeAnswers",
                columns: new[] { "IntakeId", "LinkId" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_IntakeNewLinks_IntakeId_MadeAt",
                table: "IntakeNewLinks",
                columns: new[] { "IntakeId", "MadeAt" });

            migrationBuilder.CreateIndex(
                name: "IX_IntakePhotos_IntakeId_View",
                table: "IntakePhotos",
                columns: new[] { "IntakeId", "View" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_IntakeQuestions_ClinicId_ReadAt",
                table: "IntakeQuestions",
                columns: new[] { "ClinicId", "ReadAt" });

            migrationBuilder.CreateIndex(
                name: "IX_IntakeQuestions_IntakeId_Number",
                table: "IntakeQuestions",
                columns: new[] { "IntakeId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_IntakeResults_IntakeId_MadeAt",
                table: "IntakeResults",
                columns: new[] { "IntakeId", "MadeAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Intakes_ClinicId_SubmittedAt",
                table: "Intakes",
                columns: new[] { "ClinicId", "SubmittedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Intakes_LinkHash",
                table: "Intakes",
                column: "LinkHash",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Jobs_DoneAt",
                table: "Jobs",
                column: "DoneAt",
                filter: "\"DoneAt\" IS NOT NULL");

            migrationBuilder.CreateIndex(
                name: "IX_Jobs_Lane_DueAt_Id",
                table: "Jobs",
                columns: new[] { "Lane", "DueAt", "Id" },
                filter: "\"DoneAt\" IS NULL AND \"ParkedAt\" IS NULL");

            migrationBuilder.CreateIndex(
                name: "IX_Jobs_Lane_ParkedAt",
                table: "Jobs",
                columns: new[] { "Lane", "ParkedAt" },
                filter: "\"DoneAt\" IS NULL AND \"ParkedAt\" IS NOT NULL");

            migrationBuilder.CreateIndex(
                name: "IX_KitChecks_ClinicId_PatientId_On",
                table: "KitChecks",
                columns: new[] { "ClinicId", "PatientId", "On" });

            migrationBuilder.CreateIndex(
                name: "IX_KitChecks_PatientId",
                table: "KitChecks",
                column: "PatientId");

            migrationBuilder.CreateIndex(
                name: "IX_LentScreens_Session_UnlockedAt",
                table: "LentScreens",
                columns: new[] { "Session", "UnlockedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Messages_CarrierId",
                table: "Messages",
                column: "CarrierId",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Messages_ClinicId_From_WrittenAt",
                table: "Messages",
                columns: new[] { "ClinicId", "From", "WrittenAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Messages_PatientId",
                table: "Messages",
                column: "PatientId");

            migrationBuilder.CreateIndex(
                name: "IX_NumberChanges_ClinicId_Person_ChangedAt",
                table: "NumberChanges",
                columns: new[] { "ClinicId", "Person", "ChangedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_NumberTroubles_ClinicId_Number",
                table: "NumberTroubles",
                columns: new[] { "ClinicId", "Number" });

            migrationBuilder.CreateIndex(
                name: "IX_OptOuts_ClinicId_Number_At",
                table: "OptOuts",
                columns: new[] { "ClinicId", "Number", "At" });

            migrationBuilder.CreateIndex(
                name: "IX_Outgoing_ClinicId_To_MadeAt",
                table: "Outgoing",
                columns: new[] { "ClinicId", "To", "MadeAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Outgoing_Key",
                table: "Outgoing",
                column: "Key",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Outgoing_ReportId",
                table: "Outgoing",
                column: "ReportId");

            migrationBuilder.CreateIndex(
                name: "IX_PatientChanges_PatientId_ChangedAt",
                table: "PatientChanges",
                columns: new[] { "PatientId", "ChangedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Patients_ClinicId_Number",
                table: "Patients",
                columns: new[] { "ClinicId", "Number" });

            migrationBuilder.CreateIndex(
                name: "IX_PhotoPoses_PhotoId",
                table: "PhotoPoses",
                column: "PhotoId",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Photos_MessageId_Index",
                table: "Photos",
                columns: new[] { "MessageId", "Index" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Placements_ClinicId_LotKey",
                table: "Placements",
                columns: new[] { "ClinicId", "LotKey" });

            migrationBuilder.CreateIndex(
                name: "IX_Placements_TreatmentId",
                table: "Placements",
                column: "TreatmentId");

            migrationBuilder.CreateIndex(
                name: "IX_PlanAcceptances_PlanId",
                table: "PlanAcceptances",
                column: "PlanId",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_ProfileMarks_PhotoId_Landmark",
                table: "ProfileMarks",
                columns: new[] { "PhotoId", "Landmark" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_ProfilePhotos_ClinicId_PatientId_AddedAt",
                table: "ProfilePhotos",
                columns: new[] { "ClinicId", "PatientId", "AddedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_ProfilePhotos_PatientId",
                table: "ProfilePhotos",
                column: "PatientId");

            migrationBuilder.CreateIndex(
                name: "IX_Quotes_IntakeId_MadeAt",
                table: "Quotes",
                columns: new[] { "IntakeId", "MadeAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Readings_ClinicId_EscalationId_ReadAt",
                table: "Readings",
                columns: new[] { "ClinicId", "EscalationId", "ReadAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Readings_MessageId",
                table: "Readings",
                column: "MessageId",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_RecallNotices_PatientId",
                table: "RecallNotices",
                column: "PatientId");

            migrationBuilder.CreateIndex(
                name: "IX_RecallNotices_RecallId_PatientId",
                table: "RecallNotices",
                columns: new[] { "RecallId", "PatientId" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Recalls_ClinicId_ApprovedAt",
                table: "Recalls",
                columns: new[] { "ClinicId", "ApprovedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_ReviewAnswers_TreatmentId_AnsweredAt",
                table: "ReviewAnswers",
                columns: new[] { "TreatmentId", "AnsweredAt" });

            migrationBuilder.CreateIndex(
                name: "IX_RotaChanges_ClinicId_At",
                table: "RotaChanges",
                columns: new[] { "ClinicId", "At" });

            migrationBuilder.CreateIndex(
                name: "IX_RuleChoices_ClinicId_RuleId_Number",
                table: "RuleChoices",
                columns: new[] { "ClinicId", "RuleId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Shifts_ClinicId_To",
                table: "Shifts",
                columns: new[] { "ClinicId", "To" });

            migrationBuilder.CreateIndex(
                name: "IX_Staff_ClinicId",
                table: "Staff",
                column: "ClinicId");

            migrationBuilder.CreateIndex(
                name: "IX_Staff_NormalizedUserName",
                table: "Staff",
                column: "NormalizedUserName",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_StaffChanges_StaffId_At",
                table: "StaffChanges",
                columns: new[] { "StaffId", "At" });

            migrationBuilder.CreateIndex(
                name: "IX_StaffSessions_StaffId_BeganAt",
                table: "StaffSessions",
                columns: new[] { "StaffId", "BeganAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Steps_PatientId_State_DueAt",
                table: "Steps",
                columns: new[] { "PatientId", "State", "DueAt" });

            migrationBuilder.CreateIndex(
                name: "IX_Steps_TreatmentId_From_StepId_Cause",
                table: "Steps",
                columns: new[] { "TreatmentId", "From", "StepId", "Cause" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_TestPages_ClinicId_AskedAt",
                table: "TestPages",
                columns: new[] { "ClinicId", "AskedAt" });

            migrationBuilder.CreateIndex(
                name: "IX_TestPages_ClinicId_Key",
                table: "TestPages",
                columns: new[] { "ClinicId", "Key" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_ThrownDrafts_ClinicId_PatientId_ThrownAt",
                table: "ThrownDrafts",
                columns: new[] { "ClinicId", "PatientId", "ThrownAt" });

            migrationBuilder.CreateIndex(
                name: "IX_ThrownDrafts_PatientId",
                table: "ThrownDrafts",
                column: "PatientId");

            migrationBuilder.CreateIndex(
                name: "IX_TreatmentDrafts_PatientId_StaffId",
                table: "TreatmentDrafts",
                columns: new[] { "PatientId", "StaffId" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_TreatmentPlanLines_PlanId",
                table: "TreatmentPlanLines",
                column: "PlanId");

            migrationBuilder.CreateIndex(
                name: "IX_TreatmentPlans_PatientId_Number",
                table: "TreatmentPlans",
                columns: new[] { "PatientId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Treatments_ClinicId_PatientId_TreatedOn",
                table: "Treatments",
                columns: new[] { "ClinicId", "PatientId", "TreatedOn" });

            migrationBuilder.CreateIndex(
                name: "IX_Treatments_PatientId_Number",
                table: "Treatments",
                columns: new[] { "PatientId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_Treatments_TouchUpOf",
                table: "Treatments",
                column: "TouchUpOf");

            migrationBuilder.CreateIndex(
                name: "IX_Visits_IntakeId_Number",
                table: "Visits",
                columns: new[] { "IntakeId", "Number" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_WhosePhotos_ClinicId_PatientId",
                table: "WhosePhotos",
                columns: new[] { "ClinicId", "PatientId" });

            migrationBuilder.CreateIndex(
                name: "IX_WhosePhotos_PatientId",
                table: "WhosePhotos",
                column: "PatientId");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "Absences");

            migrationBuilder.DropTable(
                name: "Addenda");

            migrationBuilder.DropTable(
                name: "CalendarFeeds");

            migrationBuilder.DropTable(
                name: "CheckIns");

            migrationBuilder.DropTable(
                name: "ClinicChanges");

            migrationBuilder.DropTable(
                name: "ClinicFigures");

            migrationBuilder.DropTable(
                name: "Clinics");

            migrationBuilder.DropTable(
                name: "Consents");

            migrationBuilder.DropTable(
                name: "ContactProofs");

            migrationBuilder.DropTable(
                name: "CourseEnds");

            migrationBuilder.DropTable(
                name: "Decisions");

            migrationBuilder.DropTable(
                name: "Deliveries");

            migrationBuilder.DropTable(
                name: "Drawn");

            migrationBuilder.DropTable(
                name: "EscalationEvents");

            migrationBuilder.DropTable(
                name: "Escalations");

            migrationBuilder.DropTable(
                name: "Examinations");

            migrationBuilder.DropTable(
                name: "FindingOverrides");

            migrationBuilder.DropTable(
                name: "HandOvers");

            migrationBuilder.DropTable(
                name: "IntakeAnswers");

            migrationBuilder.DropTable(
                name: "IntakeNewLinks");

            migrationBuilder.DropTable(
                name: "IntakePhotos");

            migrationBuilder.DropTable(
                name: "IntakeQuestions");

            migrationBuilder.DropTable(
                name: "IntakeResults");

            migrationBuilder.DropTable(
                name: "Jobs");

            migrationBuilder.DropTable(
                name: "KitChecks");

            migrationBuilder.DropTable(
                name: "LentScreens");

            migrationBuilder.DropTable(
                name: "Messages");

            migrationBuilder.DropTable(
                name: "NumberChanges");

            migrationBuilder.DropTable(
                name: "NumberTroubles");

            migrationBuilder.DropTable(
                name: "OptOuts");

            migrationBuilder.DropTable(
                name: "Outgoing");

            migrationBuilder.DropTable(
                name: "PatientChanges");

            migrationBuilder.DropTable(
                name: "PhotoPoses");

            migrationBuilder.DropTable(
                name: "Placements");

            migrationBuilder.DropTable(
                name: "PlanAcceptances");

            migrationBuilder.DropTable(
                name: "ProfileMarks");

            migrationBuilder.DropTable(
                name: "Quotes");

            migrationBuilder.DropTable(
                name: "Readings");

            migrationBuilder.DropTable(
                name: "RecallNotices");

            migrationBuilder.DropTable(
                name: "ReviewAnswers");

            migrationBuilder.DropTable(
                name: "RotaChanges");

            migrationBuilder.DropTable(
                name: "RuleChoices");

            migrationBuilder.DropTable(
                name: "Shifts");

            migrationBuilder.DropTable(
                name: "Staff");

            migrationBuilder.DropTable(
                name: "StaffChanges");

            migrationBuilder.DropTable(
                name: "StaffSessions");

            migrationBuilder.DropTable(
                name: "Steps");

            migrationBuilder.DropTable(
                name: "Swept");

            migrationBuilder.DropTable(
                name: "TestPages");

            migrationBuilder.DropTable(
                name: "ThrownDrafts");

            migrationBuilder.DropTable(
                name: "TreatmentDrafts");

            migrationBuilder.DropTable(
                name: "TreatmentPlanLines");

            migrationBuilder.DropTable(
                name: "Visits");

            migrationBuilder.DropTable(
                name: "WhosePhotos");

            migrationBuilder.DropTable(
                name: "WorkerBeats");

            migrationBuilder.DropTable(
                name: "Photos");

            migrationBuilder.DropTable(
                name: "ProfilePhotos");

            migrationBuilder.DropTable(
                name: "Recalls");

            migrationBuilder.DropTable(
                name: "Treatments");

            migrationBuilder.DropTable(
                name: "TreatmentPlans");

            migrationBuilder.DropTable(
                name: "Intakes");

            migrationBuilder.DropTable(
                name: "Patients");
        }
    }
}
