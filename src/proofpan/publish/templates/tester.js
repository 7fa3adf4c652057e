"use strict";
// Answers are kept in this browser as they are typed and saved as a file: from a disk or over plain http, without a network.
(function () {
  var form = document.getElementById("answers"), state = document.getElementById("state"), plain = document.getElementById("plain");
  var pack = JSON.parse(document.getElementById("pack").textContent), shelf = "proofpan-test-" + pack.digest, photo = "";

  function gathered() {
    var out = {}, data = new FormData(form);
    data.forEach(function (value, name) { if (typeof value === "string" && value.trim()) out[name] = value.trim(); });
    return out;
  }
  function whole(withPhoto) {
    var answers = gathered();
    if (withPhoto && photo) answers.photo = photo;
    return JSON.stringify(Object.assign({}, pack, { answers: answers }), null, 1);
  }
  function keep() {
    plain.value = whole(false);
    try { localStorage.setItem(shelf, JSON.stringify(gathered())); state.textContent = form.dataset.kept; } catch (error) { state.textContent = ""; }
  }
  function bring() {
    var held = null;
    try { held = JSON.parse(localStorage.getItem(shelf)); } catch (error) { held = null; }
    if (!held) return;
    Array.prototype.forEach.call(form.elements, function (field) {
      var value = held[field.name];
      if (value === undefined || field.type === "file") return;
      if (field.type === "radio" || field.type === "checkbox") field.checked = field.value === value;
      else field.value = value;
    });
  }
  function shrunk(file) {
    return new Promise(function (done) {
      var picture = new Image(), address = URL.createObjectURL(file);
      picture.onload = function () {
        var scale = Math.min(1, 1600 / Math.max(picture.naturalWidth, picture.naturalHeight)), canvas = document.createElement("canvas");
        canvas.width = Math.round(picture.naturalWidth * scale); canvas.height = Math.round(picture.naturalHeight * scale);
        canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
        URL.revokeObjectURL(address);
        done(canvas.toDataURL("image/jpeg", 0.85));
      };
      picture.onerror = function () { URL.revokeObjectURL(address); done(""); };
      picture.src = address;
    });
  }
  function named() {
    var who = String(gathered().tester || "").toLowerCase().normalize("NFKD").replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "");
    return "answers-" + (who || "tester") + "-" + pack.digest + ".json";
  }
  form.addEventListener("input", keep);
  form.addEventListener("change", function (event) {
    if (event.target.name !== "photo") return;
    var file = event.target.files[0];
    photo = "";
    if (file) shrunk(file).then(function (data) { photo = data; });
  });
  form.addEventListener("submit", function (event) {
    event.preventDefault();
    var answers = gathered();
    if (!answers.tester || !answers.worked) { state.textContent = form.dataset.missing; return; }
    var link = document.createElement("a"), address = URL.createObjectURL(new Blob([whole(true)], { type: "application/json" }));
    link.href = address; link.download = named();
    document.body.appendChild(link); link.click(); link.remove();
    setTimeout(function () { URL.revokeObjectURL(address); }, 60000);
    keep();
    state.textContent = form.dataset.saved.replace("NAME", named());
  });
  bring();
  plain.value = whole(false);
})();
