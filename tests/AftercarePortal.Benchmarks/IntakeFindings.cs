using System.Diagnostics;
using System.Globalization;
using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.Commands;
using AftercarePortal.Web.ContentFiles;
using NodaTime;

namespace AftercarePortal.Benchmarks;

/// <summary>What speaks against treatment: one intake in the core, and very many through the command.</summary>
internal static class IntakeFindings
{
    private static readonly LocalDate Today = new(2026, 11, 25);

    /// <summary>Findings of one intake, words read too; people in turn from healthy to everything left out. Warm: what the runtime compiles on the way is done before anything is timed.</summary>
    public static async Task<Timings> One(ContentLibrary content, int times)
    {
        var rules = content.Candidacy;
        Answers[] people = [.. Enumerable.Range(0, 20).Select(i => Filled(rules.Questionnaire, i))];
        var timings = new Timings();
        for (var i = -20_000; i < times; i++)
        {
            var answers = people[Math.Abs(i) % people.Length];
            await (i < 0 ? new Timings() : timings).Time(() => Task.FromResult(rules.FindingsFor(answers, Today, content.Lexicon.SignsIn(rules.Questionnaire, answers))));
        }

        return timings;
    }

    /// <summary>One line of the table: responses streamed through the command, one a line.</summary>
    public static string Many(ContentLibrary content, string folder, int count)
    {
        string[] lines = [.. Enumerable.Range(0, 100).Select(i => Response(content.Candidacy.Questionnaire, Filled(content.Candidacy.Questionnaire, i)))];
        using var input = new Repeated(lines, count);
        using var output = new Counted();
        var (started, before) = (Stopwatch.GetTimestamp(), Environment.CpuUsage.TotalTime);
        var code = FindingsCommand.Run(["--lines", "--today", "2026-11-25"], input, output, Console.Error, folder, Today);
        var (took, processor) = (Stopwatch.GetElapsedTime(started).TotalSeconds, (Environment.CpuUsage.TotalTime - before).TotalSeconds);
        if (code != 0 || output.Lines != count) throw new InvalidOperationException($"The command answered {code} with {output.Lines} lines.");
        return string.Create(CultureInfo.InvariantCulture, $"findings command: {count:#,##0} intakes of {lines.Average(l => l.Length):0} characters in {took:0.0} s, {processor:0.0} s of processor time, {processor / count * 1000:0.000} ms each, start included, {output.Bytes / 1e6:0} MB out");
    }

    // Every question asked is answered: mostly the calm answer, in turn another, not sure, or nothing.
    private static Answers Filled(Questionnaire questionnaire, int person)
    {
        var answers = new Dictionary<string, Answer>();
        var place = 0;
        foreach (var question in questionnaire.Questions)
        {
            if (!question.IsAskedGiven(new(answers))) continue;
            var turn = (++place * 7 + person * 13) % 40;
            if (turn < person && !question.Required) { if (turn % 3 == 0 && question.MayBeNotSure) answers[question.LinkId] = new Answer.NotSure(); continue; }
            var odd = turn > 40 - person / 2;
            answers[question.LinkId] = question.Kind switch
            {
                QuestionKind.YesNo => new Answer.Given(odd ? "yes" : "no"),
                QuestionKind.Choice => new Answer.Given(question.Options[odd ? 0 : ^1].Code),
                QuestionKind.Several => new Answer.Given((odd ? question.Options[0] : question.Options.FirstOrDefault(o => o.StandsAlone) ?? question.Options[^1]).Code),
                QuestionKind.Date => new Answer.Given(question.Dates == DateSpan.FromToday ? "2027-01-10" : question.Required ? "1985-04-03" : "2026-10-20"),
                QuestionKind.Number => new Answer.Given("3"),
                _ => new Answer.Given("I would like a firmer jaw line. I would be unhappy if it looked done, and I am a bit worried about swelling."),
            };
        }

        return new(answers);
    }

    private static string Response(Questionnaire questionnaire, Answers answers)
    {
        var items = new JsonArray();
        foreach (var (linkId, answer) in answers.ByLinkId)
        {
            var question = questionnaire.Find(linkId)!;
            JsonObject Value(string value) => question.Kind switch
            {
                QuestionKind.YesNo => new() { ["valueBoolean"] = value == "yes" },
                QuestionKind.Choice or QuestionKind.Several => new() { ["valueCoding"] = new JsonObject { ["code"] = value } },
                QuestionKind.Date => new() { ["valueDate"] = value },
                QuestionKind.Number => new() { ["valueInteger"] = int.Parse(value, CultureInfo.InvariantCulture) },
                _ => new() { ["valueString"] = value },
            };
            var values = answer is Answer.Given given
                ? new JsonArray([.. given.Values.Select(Value)])
                : [new JsonObject { ["extension"] = new JsonArray(new JsonObject { ["url"] = "http://hl7.org/fhir/StructureDefinition/data-absent-reason", ["valueCode"] = "asked-unknown" }) }];
            items.Add(new JsonObject { ["linkId"] = linkId, ["answer"] = values });
        }

        return new JsonObject
        {
            ["resourceType"] = "QuestionnaireResponse", ["status"] = "completed",
            ["questionnaire"] = $"https://aftercareportal.example/fhir/Questionnaire/lower-face|{questionnaire.Version.Number}", ["item"] = items,
        }.ToJsonString();
    }

    // The same lines again and again, without holding them all.
    private sealed class Repeated(string[] lines, int count) : TextReader
    {
        private string now = "";
        private int given, at;

        public override int Read(char[] buffer, int index, int most)
        {
            if (at == now.Length)
            {
                if (given == count) return 0;
                (now, at) = (lines[given++ % lines.Length] + "\n", 0);
            }

            var part = Math.Min(most, now.Length - at);
            now.CopyTo(at, buffer, index, part);
            at += part;
            return part;
        }
    }

    // Where the command's lines go: counted and forgotten.
    private sealed class Counted : Stream
    {
        public long Bytes { get; private set; }
        public int Lines { get; private set; }
        public override bool CanRead => false;
        public override bool CanSeek => false;
        public override bool CanWrite => true;
        public override long Length => Bytes;
        public override long Position { get => Bytes; set => throw new NotSupportedException(); }

        public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

        public override void Write(ReadOnlySpan<byte> buffer)
        {
            Bytes += buffer.Length;
            Lines += buffer.Count((byte)'\n');
        }

        public override void Flush() { }
        public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();
        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();
        public override void SetLength(long value) => throw new NotSupportedException();
    }
}
