using AftercarePortal.Web.Data;
using AftercarePortal.Web.Data.Rows;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata.Builders;
using NodaTime;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>One message as the carrier delivered it. Never changed, but for the clinic of one that came to a number no clinic had (<see cref="OurNumbers.Nobody"/>).</summary>
internal sealed class MessageRow : IClinicRow
{
    /// <summary>What <see cref="RawForm"/> says when no webhook brought the message.</summary>
    public const string FoundInList = "listed";

    /// <summary><see cref="RawForm"/> of words written into an intake instead of a text.</summary>
    public const string FromIntake = "written in an intake";

    /// <summary><see cref="RawForm"/> of words a patient wrote on the clinic's screen at a review.</summary>
    public const string FromReview = "written at a review";

    private const string IntakePrefix = "intake-";

    /// <summary><see cref="From"/> of words written into an intake: never a number, for nobody checked the one that was typed.</summary>
    public static string SenderOf(Guid intake) => $"{IntakePrefix}{intake:N}";

    /// <summary>The intake of a <see cref="SenderOf"/>.</summary>
    /// <exception cref="FormatException">It is another sender.</exception>
    public static Guid IntakeOf(string sender) =>
        sender.StartsWith(IntakePrefix, StringComparison.Ordinal) ? Guid.ParseExact(sender[IntakePrefix.Length..], "N") : throw new FormatException("This sender is no intake.");

    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    /// <summary>The carrier's id: unique, so a message delivered twice is kept once.</summary>
    public required string CarrierId { get; set; }
    /// <summary>Sender, as delivered; usually E.164. Of an intake's words <see cref="SenderOf"/>.</summary>
    public required string From { get; set; }
    /// <summary>Our number it was sent to.</summary>
    public required string To { get; set; }
    /// <summary>As delivered; empty when only pictures came.</summary>
    public required string Text { get; set; }
    /// <summary>Pictures claimed to come with it, 0 or more.</summary>
    public required int MediaCount { get; set; }
    /// <summary>Every field as delivered, form-encoded; or <see cref="FoundInList"/>, <see cref="FromIntake"/> or <see cref="FromReview"/>.</summary>
    public required string RawForm { get; set; }
    /// <summary>Whose words they are, where that is known by more than the number: written on the clinic's screen, on this patient's page. Null: only the number says.</summary>
    public Guid? PatientId { get; init; }
    /// <summary>When we kept it.</summary>
    public required Instant ReceivedAt { get; set; }
    /// <summary>When the carrier received it from the phone, as far as we know: earlier than <see cref="ReceivedAt"/> for what was found late in its list. What counts from a message counts from here.</summary>
    public required Instant WrittenAt { get; set; }
    /// <summary>It reached us so much later than it was written that whoever reads it must know.</summary>
    public bool IsLate => ReceivedAt - WrittenAt >= Duration.FromMinutes(5);
}

/// <summary>One text on its way out. Stored before the carrier hears of it.</summary>
internal sealed class OutgoingRow : IClinicRow, IOneOfMany
{
    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    /// <summary>Says what it is for; unique, so the same thing is never sent twice on purpose.</summary>
    public required string Key { get; set; }
    public required OutgoingKind Kind { get; set; }
    /// <summary>Our number it goes out from, E.164.</summary>
    public required string From { get; set; }
    /// <summary>Number of the patient or of the member of staff, E.164.</summary>
    public required string To { get; set; }
    /// <summary>The text, or the TwiML of a call.</summary>
    public required string Text { get; set; }
    public OutgoingState State { get; set; } = OutgoingState.Pending;
    /// <summary>The carrier's id; null: the carrier is not known to have taken it.</summary>
    public string? CarrierId { get; set; }
    /// <summary>When it was put in line; it may wait from here until quiet hours end.</summary>
    public required Instant MadeAt { get; set; }
    /// <summary>When the carrier was first asked to take it; null: it waits.</summary>
    public Instant? FirstTriedAt { get; set; }
    /// <summary>When the last try to hand it over ended, whatever came of it, or it was found in the carrier's list; null: no try has ended.</summary>
    public Instant? AnsweredAt { get; set; }
    /// <summary>The carrier's error code when it refused.</summary>
    public int? RefusedCode { get; set; }
    /// <summary>The report it is about, whoever it goes to; null: another matter.</summary>
    public Guid? ReportId { get; init; }
    /// <summary>What it asks the patient for; null: nothing in particular.</summary>
    public OutgoingAsk? Asks { get; init; }
}

/// <summary>What an outgoing text is for: decides repeats, validity and whether a STOP holds it back.</summary>
internal enum OutgoingKind
{
    /// <summary>A page to staff; repeated when the answer was unclear.</summary>
    PageText,
    /// <summary>A call to staff; repeated when the answer was unclear.</summary>
    PageCall,
    /// <summary>An answer to a patient's report.</summary>
    SafetyReply,
    /// <summary>A step of an aftercare plan; everyday.</summary>
    Step,
    /// <summary>Word that something of the clinic waits to be read; everyday.</summary>
    Notice,
}

/// <summary>What a text asks for: a bare number or letter that comes back to a check-in is then understood, and a photo is not asked for again and again.</summary>
internal enum OutgoingAsk { CheckIn, Photo }

/// <summary>Where an outgoing text stands.</summary>
internal enum OutgoingState { Pending, Calling, Accepted, Refused, Unclear, HeldBack, TooLate }

/// <summary>One status report of the carrier; kept in any order, only added.</summary>
internal sealed class DeliveryRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    /// <summary>The text or call it is about.</summary>
    public required Guid OutgoingId { get; set; }
    /// <summary>As the carrier names it, cut at 40 letters; for example <c>delivered</c>, or one of <see cref="MessageTable.NotArrived"/>; or our own <see cref="HeardOf.Unsent"/>, <see cref="HeardOf.Unheard"/>.</summary>
    public required string Status { get; set; }
    /// <summary>The carrier's error code; null: it gave none.</summary>
    public int? ErrorCode { get; set; }
    /// <summary>When we kept it; the carrier may have known it earlier.</summary>
    public required Instant ReceivedAt { get; set; }
}

/// <summary>When the carrier's list of one number was last read to its end.</summary>
internal sealed class SweptRow
{
    /// <summary>More than the carrier's clock and ours differ.</summary>
    public static readonly Duration Slack = Duration.FromMinutes(5);

    /// <summary>Our number, E.164.</summary>
    public required string Number { get; set; }
    /// <summary>Since when the portal answers for this number: what was written before is somebody else's and is not fetched.</summary>
    public required Instant Since { get; set; }
    /// <summary>When that was; at first, when the number was set up.</summary>
    public required Instant At { get; set; }
}

/// <summary>One STOP or START, or word of a wrong number, with the message that said so, or the text of ours the carrier refused because of one. State is derived from the latest row of a number.</summary>
internal sealed class OptOutRow : IClinicRow
{
    public Guid Id { get; set; } = OrderedId.New();
    public required Guid ClinicId { get; set; }
    /// <summary>The number it holds for, E.164.</summary>
    public required string Number { get; set; }
    /// <summary>True: STOP. False: START.</summary>
    public required bool Stopped { get; set; }
    /// <summary>The <see cref="MessageRow"/> that said so; or the <see cref="OutgoingRow"/> the carrier refused because of one.</summary>
    public required Guid MessageId { get; set; }
    /// <summary>When the message was written; of a refused text, when we began to hand it over.</summary>
    public required Instant At { get; set; }
    /// <summary>The message was no STOP: it said that the number is somebody else's. Staff who looked may let texts go on.</summary>
    public bool IsWrongNumber { get; set; }
    /// <summary>Who let texts go on after one that said so, by name; null: nobody of staff.</summary>
    public string? LetGoOnBy { get; set; }
}

/// <summary>The tables of texts and calls in and out, and of who asked for none.</summary>
internal static class MessageTable
{
    /// <summary>Statuses that say a text or call did not reach anybody.</summary>
    public static readonly string[] NotArrived = ["failed", "undelivered", "busy", "no-answer", "canceled"];

    extension(OutgoingKind kind)
    {
        /// <summary>Everyday texts are sent at most once, after the urgent ones, and held back after a STOP.</summary>
        public bool IsEveryday => kind is OutgoingKind.Step or OutgoingKind.Notice;

        /// <summary>Lane of the job that sends it.</summary>
        public int Lane => kind switch { OutgoingKind.PageCall => JobTable.CallLane, _ when kind.IsEveryday => 9, _ => 0 };
    }

    extension(PortalDb db)
    {
        public DbSet<MessageRow> Messages => db.Set<MessageRow>();
        public DbSet<OutgoingRow> Outgoing => db.Set<OutgoingRow>();
        public DbSet<DeliveryRow> Deliveries => db.Set<DeliveryRow>();
        public DbSet<OptOutRow> OptOuts => db.Set<OptOutRow>();
        public DbSet<SweptRow> Swept => db.Set<SweptRow>();

        /// <summary>From now on the portal answers for this number: in the current unit of work.</summary>
        public void AnswerFor(string number, Instant now) => db.Add(new SweptRow { Number = number, Since = now - SweptRow.Slack, At = now });

        /// <summary>Whether this number's last word was STOP.</summary>
        public async Task<bool> HasStopped(string number, CancellationToken stop) =>
            await db.OptOuts.Where(o => o.Number == number).OrderByDescending(o => o.At).ThenByDescending(o => o.Id)
                .Select(o => (bool?)o.Stopped).FirstOrDefaultAsync(stop) ?? false;

        /// <summary>The word of a wrong number that alone keeps texts from this number, with no STOP before it; null: there is none.</summary>
        public async Task<OptOutRow?> WrongNumberOf(string number, CancellationToken stop)
        {
            var said = await db.OptOuts.Where(o => o.Number == number).OrderByDescending(o => o.At).ThenByDescending(o => o.Id).ToListAsync(stop);
            if (said is not [{ IsWrongNumber: true, Stopped: true } last, ..]) return null;
            return said.Find(o => !o.IsWrongNumber) is { Stopped: true } ? null : last;
        }

        /// <summary>Puts what the carrier says became of a text or call into the current unit of work, and what follows from it.</summary>
        /// <param name="status">As the carrier names it.</param>
        public void NoteStatus(OutgoingRow outgoing, string status, int? errorCode, Instant now)
        {
            db.Add(new DeliveryRow { ClinicId = outgoing.ClinicId, OutgoingId = outgoing.Id, Status = status[..Math.Min(status.Length, 40)], ReceivedAt = now, ErrorCode = errorCode is 0 ? null : errorCode });      // 0: no code
            if (NotArrived.Contains(status)) db.Enqueue(MessageJobs.NotDelivered, outgoing.Id.ToString(), now, lane: 0);
            else if (status is "delivered" && outgoing.Kind is OutgoingKind.SafetyReply) db.Enqueue(MessageJobs.Delivered, outgoing.Id.ToString(), now);
        }

        /// <summary>Puts a STOP or START into the current unit of work when the message is one: in force from the moment it is kept, before anybody read it.</summary>
        /// <param name="handled">What the carrier itself took the message for, by words the clinic chose there: <c>STOP</c>, <c>START</c>, <c>HELP</c>; null or empty: it does not say.</param>
        public void NoteStopOrStart(MessageRow message, string? handled = null)
        {
            var stopped = handled is "STOP" || StopWords.IsStop(message.Text);
            if (!stopped && handled is not "START" && !StopWords.IsStart(message.Text)) return;
            db.Add(new OptOutRow { ClinicId = message.ClinicId, Number = message.From, MessageId = message.Id, Stopped = stopped, At = message.WrittenAt });
        }
    }

    /// <summary>How they are stored: what must be kept only once is unique.</summary>
    internal sealed class Mapping :
        IEntityTypeConfiguration<MessageRow>, IEntityTypeConfiguration<OutgoingRow>,
        IEntityTypeConfiguration<DeliveryRow>, IEntityTypeConfiguration<OptOutRow>, IEntityTypeConfiguration<SweptRow>
    {
        public void Configure(EntityTypeBuilder<SweptRow> swept)
        {
            swept.ToTable("Swept");
            swept.HasKey(s => s.Number);
            swept.Property(s => s.Number).HasMaxLength(64);
        }

        public void Configure(EntityTypeBuilder<MessageRow> message)
        {
            message.ToTable("Messages");
            message.Property(m => m.CarrierId).HasMaxLength(64);
            message.Property(m => m.From).HasMaxLength(64);
            message.Property(m => m.To).HasMaxLength(64);
            message.HasIndex(m => m.CarrierId).IsUnique();
            message.HasOne<PatientRow>().WithMany().HasForeignKey(m => m.PatientId).OnDelete(DeleteBehavior.Restrict);
            message.HasIndex(m => new { m.ClinicId, m.From, m.WrittenAt });
        }

        public void Configure(EntityTypeBuilder<OutgoingRow> outgoing)
        {
            outgoing.ToTable("Outgoing");
            outgoing.Property(o => o.Key).HasMaxLength(200);
            outgoing.HasIndex(o => o.Key).IsUnique();
            outgoing.HasIndex(o => new { o.ClinicId, o.To, o.MadeAt });
            outgoing.HasIndex(o => o.ReportId);
            outgoing.Property(o => o.To).HasMaxLength(64);
            outgoing.Property(o => o.State).IsConcurrencyToken();        // two workers at once, because one lost its lease: the second is refused
        }

        public void Configure(EntityTypeBuilder<DeliveryRow> delivery)
        {
            delivery.ToTable("Deliveries");
            delivery.Property(d => d.Status).HasMaxLength(40);
            delivery.HasIndex(d => d.OutgoingId);
        }

        public void Configure(EntityTypeBuilder<OptOutRow> optOut)
        {
            optOut.ToTable("OptOuts");
            optOut.Property(o => o.Number).HasMaxLength(64);
            optOut.Property(o => o.LetGoOnBy).HasMaxLength(256);
            optOut.HasIndex(o => new { o.ClinicId, o.Number, o.At });
        }
    }
}
