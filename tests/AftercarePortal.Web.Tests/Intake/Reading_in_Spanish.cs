using System.Text.RegularExpressions;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Tests.Staff;
using Microsoft.EntityFrameworkCore;
using Xunit;

namespace AftercarePortal.Web.Tests.Intake;

public sealed partial class Reading_in_Spanish : IAsyncLifetime
{
    private Portal_with_staff portal = null!;
    private Intake_of person = null!;
    private Guid clinic;

    public async Task InitializeAsync()
    {
        portal = await Portal_with_staff.Open();
        (clinic, _) = await portal.Clinic("Wrenfold Clinic", 0);
        person = new(portal, clinic);
    }

    public async Task DisposeAsync() => await portal.DisposeAsync();

    [Fact]
    public async Task Questions_faults_and_result_are_in_Spanish_and_the_page_says_nobody_checked_it()
    {
        await person.Start("es");
        var page = await person.Show();
        Assert.Contains("<html lang=\"es\">", page, StringComparison.Ordinal);
        Assert.Contains("¿Cuál es su fecha de nacimiento?", page, StringComparison.Ordinal);
        Assert.Contains("no la ha revisado un clínico nativo", page, StringComparison.Ordinal);
        Assert.Contains("Ese día no existe", await person.Answer(("day", "31"), ("month", "2"), ("year", "1988")), StringComparison.Ordinal);
        await person.Born(1988);
        while (!(await person.Show()).Contains("value=\"severe-reaction\"", StringComparison.Ordinal)) await person.Skip();
        await person.Answer(("choice", "severe-reaction"));
        await person.Rest();
        await person.Post(person.At);
        page = await person.Show();
        Assert.Contains("Después de una reacción alérgica muy fuerte", page, StringComparison.Ordinal);
        Assert.Contains("Un clínico titulado tiene que verle y decide", page, StringComparison.Ordinal);
        await person.Send();
        var id = await person.InClinic(db => db.Intakes.Select(i => i.Id).SingleAsync());
        var desk = await (await portal.SignedIn(clinic, "mara")).GetStringAsync($"/Review/{id}");
        Assert.Contains("A very bad allergic reaction", desk, StringComparison.Ordinal);
        Assert.Contains("This person reads Spanish", desk, StringComparison.Ordinal);
    }

    [Fact]
    public async Task After_the_language_was_changed_the_result_is_worked_out_anew_in_it()
    {
        await person.Result();
        await person.Post(person.Link, ("lang", "es"));
        await person.Show($"{person.Link}/result");
        Assert.EndsWith("/check", person.At, StringComparison.Ordinal);
        await person.Post(person.At);
        Assert.Contains("Lo que hay que resolver antes", await person.Show(), StringComparison.Ordinal);
        var kept = IntakeResult.FromJson(await person.InClinic(db => db.IntakeResults.OrderByDescending(r => r.AnswersVersion).Select(r => r.Json).FirstAsync()));
        Assert.All(kept.Answers.Where(a => a.Question.EndsWith('?')), a => Assert.Contains("¿", a.Question, StringComparison.Ordinal));
        // The language it is in already changes nothing.
        await person.Post(person.Link, ("lang", "es"));
        Assert.Contains("Lo que hay que resolver antes", await person.Show($"{person.Link}/result"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_language_can_be_changed_on_the_way_and_what_was_answered_stays()
    {
        await person.Start();
        await person.Born(1988);
        await person.Answer(("choice", "female"));
        await person.Post(person.Link, ("lang", "es"));
        Assert.Contains("Pregunta 3", await person.Show(), StringComparison.Ordinal);
        await person.Post(person.Link, ("lang", "xx"));
        Assert.Contains("Pregunta 3", await person.Show(), StringComparison.Ordinal);
        await person.Post(person.Link, ("lang", "en"));
        Assert.Contains("Question 3", await person.Show(), StringComparison.Ordinal);
    }

    [Fact]
    public void Every_word_a_page_asks_for_is_there()
    {
        var folder = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(folder, "AftercarePortal.sln"))) folder = Path.GetDirectoryName(folder)!;
        var pages = Directory.GetFiles(Path.Combine(folder, "src", "AftercarePortal.Web", "Features", "Intake"), "*.cs*");
        var asked = pages.SelectMany(p => Key().Matches(File.ReadAllText(p))).Select(m => m.Groups[1].Value).Distinct().ToList();
        Assert.True(asked.Count > 50);
        foreach (var words in ContentLibrary.Load(ContentLibrary.Folder).Pages.Values) Assert.Empty(asked.Except(words.Keys));
    }

    [GeneratedRegex("(?:[Ss]ay|[Ww]ords|Say)(?:\\.Say\\(|\\[)\"([a-z0-9-]+)\"")]
    private static partial Regex Key();
}
